// ESP32 as in esp32.ts, with two SPI converters in place of its own converter and the multiplexer. We chose
// the pins; not yet tried on hardware, so check them against your board before you wire anything.
import type { AdcWiring } from '../adc/spi12';
import type { Board } from '../board';

const board: Board<AdcWiring> = {
  title: 'ESP32 over Wi-Fi, two 8-channel 12-bit SPI converters',
  network: 'wifi',
  pins: {
    ...{ relay: 'D25', enable: 'D4', red: 'D26', before: 'D34', after: 'D35', aux: 'D32', occupied: 'D33' },
    ...{ stop: 'D27', key: 'D14' },
    // Shunt amplifier centred at half the converter's range, 4,096 mA across the full range: our choice.
    ...{ zero: 0.5, spanMilliamps: 4096 },
  },
  // The second SPI bus on its own pins: boards/ESP32.py of the interpreter. The select lines are our choice.
  adc: { driver: 'spi12', sck: 'D18', miso: 'D19', mosi: 'D23', cs: ['D5', 'D13'] },
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
