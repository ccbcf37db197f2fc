// What boards with an ESP32 have in common, with the interpreter's official build of that name.
export const ESP32 = {
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

/** Pins of our choice that no converter or network module of these boards needs; the key's differs. */
export const ESP32_PINS = {
  ...{ relay: 'D25', enable: 'D4', red: 'D26', before: 'D34', after: 'D35', aux: 'D32', occupied: 'D33' },
  stop: 'D27',
  // Shunt amplifier centred at half the converter's range, 4,096 mA across the full range: our choice.
  ...{ zero: 0.5, spanMilliamps: 4096 },
};
