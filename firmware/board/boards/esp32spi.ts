// ESP32 as in esp32.ts, with two SPI converters in place of its own converter and the multiplexer. We chose
// the pins; not yet tried on hardware, so check them against your board before you wire anything.
import type { AdcWiring } from '../adc/spi12';
import type { Board } from '../board';
import { ESP32, ESP32_PINS } from '../chips/esp32';

const board: Board<AdcWiring> = {
  ...ESP32,
  title: 'ESP32 over Wi-Fi, two 8-channel 12-bit SPI converters',
  network: 'wifi',
  pins: { ...ESP32_PINS, key: 'D14' },
  // The second SPI bus on its own pins: boards/ESP32.py of the interpreter. The select lines are our choice.
  adc: { driver: 'spi12', sck: 'D18', miso: 'D19', mosi: 'D23', cs: ['D5', 'D13'] },
};

export default board;
