// ESP32 as in esp32.ts, with current modules on an RS-485 bus in place of the multiplexer: a transceiver that
// switches direction by itself, on the second serial port. We chose the pins; not yet tried on hardware, so
// check them against your board before you wire anything.
import { Limit } from '../../contract/limits';
import type { Board } from '../board';
import { ESP32, ESP32_PINS } from '../chips/esp32';
import type { AdcWiring } from '../lamps/modbus';

const board: Board<AdcWiring> = {
  ...ESP32,
  title: 'ESP32 over Wi-Fi, current modules on an RS-485 bus (Modbus RTU)',
  network: 'wifi',
  // `zero` and `spanMilliamps` are not used: the modules have their own scale.
  pins: { ...ESP32_PINS, key: 'D14' },
  // Serial2 takes any pins: initSerial in targets/esp32/jshardwareUart.c of the interpreter, 2v29. 19,200 bit/s
  // and even parity are the default of MODBUS over Serial Line V1.02, 2.5.1 and 3.2. `commission` adds the rows.
  adc: {
    ...{
      driver: 'modbus',
      port: 'Serial2',
      tx: 'D18',
      rx: 'D19',
      baud: Limit.BusBaud,
      parity: 'even',
      code: 4,
    },
    rows: [],
  },
};

export default board;
