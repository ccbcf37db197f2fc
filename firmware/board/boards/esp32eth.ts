// ESP32 with the interpreter's official build of that name, and a W5500 module for a wired network. We chose the
// pins; not yet tried on hardware, so check them against your board before you wire anything.
import type { AdcWiring } from '../adc/internal';
import type { Board } from '../board';
import { ESP32, ESP32_PINS } from '../chips/esp32';

const board: Board<AdcWiring> = {
  ...ESP32,
  title: 'ESP32 with W5500 Ethernet, built-in converter with a 16-way multiplexer',
  network: 'w5500',
  // The second SPI bus on its own pins: boards/ESP32.py of the interpreter. D15 is pulled up at start-up, so the
  // module is not selected then.
  spi: { sck: 'D18', miso: 'D19', mosi: 'D23', cs: 'D15' },
  pins: { ...ESP32_PINS, key: 'D39' },
  // A pin of the first converter. D2 and D5 are read at start-up, which a multiplexer's inputs leave alone.
  adc: { driver: 'internal', select: ['D2', 'D5', 'D13', 'D14'], lamp: 'D36' },
};

export default board;
