// ESP32 with the interpreter's official build of that name. We chose the pins, avoiding those with a function
// at start-up, of console, flash and PSRAM; not yet tried on hardware, so check them against your board before you wire anything.
import type { AdcWiring } from '../adc/internal';
import type { Board } from '../board';

const board: Board<AdcWiring> = {
  title: 'ESP32 over Wi-Fi, built-in converter with a 16-way multiplexer',
  network: 'wifi',
  pins: {
    ...{ relay: 'D25', enable: 'D4', red: 'D26', before: 'D34', after: 'D35', aux: 'D32', occupied: 'D33' },
    ...{ stop: 'D27', key: 'D14' },
    // Shunt amplifier centred at half the converter's range, 4,096 mA across the full range: our choice.
    ...{ zero: 0.5, spanMilliamps: 4096 },
  },
  // A pin of the first converter: the second cannot be used with Wi-Fi (boards/ESP32.py of the interpreter).
  adc: { driver: 'internal', select: ['D13', 'D18', 'D19', 'D23'], lamp: 'D36' },
  // Pins that this kind of board mostly marks as its I2C bus: our choice.
  clockChip: { driver: 'bcd', sda: 'D21', scl: 'D22' },
  // The interpreter gives no access to the reset cause on this chip.
  resetRegister: 0,
  flash: {
    // 896 kB in pages of 4,096 bytes: saved_code in boards/ESP32.py of the interpreter, 2v29.
    storageBytes: 917504,
    storageAt: 0x320000,
    pageBytes: 4096,
    // Two years with 10 % to spare: docs/journal.md.
    journalBytes: 196608,
  },
  // Both from boards/ESP32.py of the interpreter, 2v29; the bytes from the table there.
  variables: { count: 16383, bytes: 14 },
  // ESP_STACK_SIZE, ibid.
  stackBytes: 25000,
};

export default board;
