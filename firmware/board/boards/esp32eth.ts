// ESP32 with the interpreter's official build of that name, and a W5500 module for a wired network. We chose the
// pins; not yet tried on hardware, so check them against your board before you wire anything.
import type { AdcWiring } from '../adc/internal';
import type { Board } from '../board';

const board: Board<AdcWiring> = {
  title: 'ESP32 with W5500 Ethernet, built-in converter with a 16-way multiplexer',
  network: 'w5500',
  // The second SPI bus on its own pins: boards/ESP32.py of the interpreter. D15 is pulled up at start-up, so the
  // module is not selected then.
  spi: { sck: 'D18', miso: 'D19', mosi: 'D23', cs: 'D15' },
  pins: {
    ...{ relay: 'D25', enable: 'D4', red: 'D26', before: 'D34', after: 'D35', aux: 'D32', occupied: 'D33' },
    ...{ stop: 'D27', key: 'D39' },
    // Shunt amplifier centred at half the converter's range, 4,096 mA across the full range: our choice.
    ...{ zero: 0.5, spanMilliamps: 4096 },
  },
  // A pin of the first converter. D2 and D5 are read at start-up, which a multiplexer's inputs leave alone.
  adc: { driver: 'internal', select: ['D2', 'D5', 'D13', 'D14'], lamp: 'D36' },
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
