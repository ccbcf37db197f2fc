// Pins of the two kinds of board the firmware is meant for. Our own choice, kept off pins with a job at
// start-up; not yet tried on hardware, so check it against your board before you wire anything.
import type { Wiring } from '../../firmware/board/config';

export type BoardName = 'esp32' | 'stm32f4';

export interface BoardKind {
  name: BoardName;
  network: 'wifi' | 'w5500';
  pins: Wiring;
  /** SPI pins of the Ethernet module. */
  spi?: { sck: string; miso: string; mosi: string; cs: string };
  /** Address of the register whose top byte tells the cause of a reset, 0 where unknown. */
  resetRegister: number;
  journalBytes: number;
}

/** Shunt amplifier centred at half the converter's range, 4,096 mA across the whole of it. */
const SENSOR = { zero: 0.5, spanMilliamps: 4096 };

const ESP32: BoardKind = {
  name: 'esp32',
  network: 'wifi',
  pins: {
    ...{ relay: 'D25', red: 'D26', before: 'D34', after: 'D35', aux: 'D32', occupied: 'D33' },
    ...{ stop: 'D27', key: 'D14', select: ['D16', 'D17', 'D18', 'D19'], lamp: 'D36', ...SENSOR },
  },
  resetRegister: 0,
  // Two years of sixteen luminaires on weekly tests take up to 180,000 bytes; one file always holds that much.
  journalBytes: 196608,
};

const STM32F4: BoardKind = {
  name: 'stm32f4',
  network: 'w5500',
  pins: {
    ...{ relay: 'B0', red: 'B1', before: 'B6', after: 'B7', aux: 'B8', occupied: 'B9' },
    ...{ stop: 'B10', key: 'B12', select: ['A8', 'A9', 'A10', 'A15'], lamp: 'A0', ...SENSOR },
  },
  spi: { sck: 'A5', miso: 'A6', mosi: 'A7', cs: 'A4' },
  // RCC_CSR of the STM32F4 reference manual (from memory).
  resetRegister: 0x40023874,
  journalBytes: 16384,
};

export const BOARDS: Record<BoardName, BoardKind> = { esp32: ESP32, stm32f4: STM32F4 };
