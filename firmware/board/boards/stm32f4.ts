// STM32F411 with the interpreter's official build for its Wi-Fi board, and a W5500 module. We chose the pins;
// not yet tried on hardware. The storage is too small for the journal, so `commission` refuses this board.
import type { AdcWiring } from '../adc/internal';
import type { Board } from '../board';

const board: Board<AdcWiring> = {
  title: 'STM32F411 with W5500 Ethernet, built-in converter with a 16-way multiplexer',
  network: 'w5500',
  spi: { sck: 'A5', miso: 'A6', mosi: 'A7', cs: 'A4' },
  pins: {
    ...{ relay: 'B0', enable: 'B5', red: 'B1', before: 'B8', after: 'B9', aux: 'B13', occupied: 'B14' },
    ...{ stop: 'B10', key: 'B15' },
    // Shunt amplifier centred at half the converter's range, 4,096 mA across the full range: our choice.
    ...{ zero: 0.5, spanMilliamps: 4096 },
  },
  adc: { driver: 'internal', select: ['A8', 'A10', 'B3', 'B4'], lamp: 'A0' },
  // RCC_CSR of the STM32F4 reference manual (from memory).
  resetRegister: 0x40023874,
  flash: {
    // One sector of 64 kB: saved_code in boards/ESPRUINOWIFI.py of the interpreter, 2v29.
    storageBytes: 65536,
    storageAt: 0x08010000,
    pageBytes: 65536,
    // Two years with 10 % to spare: docs/journal.md. They do not fit here.
    journalBytes: 196608,
  },
  // Count from boards/ESPRUINOWIFI.py of the interpreter, 2v29, bytes from the table in boards/ESP32.py. The
  // stack is whatever the linker leaves; it is not stated anywhere.
  variables: { count: 8190, bytes: 13 },
};

export default board;
