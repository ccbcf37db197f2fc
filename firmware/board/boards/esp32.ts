// ESP32 with the interpreter's official build of that name. We chose the pins, avoiding those with a function
// at start-up, of console, flash and PSRAM; not yet tried on hardware, so check them against your board before
// you wire anything.
import type { AdcWiring } from '../adc/internal';
import type { Board } from '../board';
import { ESP32, ESP32_PINS } from '../chips/esp32';

const board: Board<AdcWiring> = {
  ...ESP32,
  title: 'ESP32 over Wi-Fi, built-in converter with a 16-way multiplexer',
  network: 'wifi',
  pins: { ...ESP32_PINS, key: 'D14' },
  // A pin of the first converter: the second cannot be used with Wi-Fi (boards/ESP32.py of the interpreter).
  adc: { driver: 'internal', select: ['D13', 'D18', 'D19', 'D23'], lamp: 'D36' },
};

export default board;
