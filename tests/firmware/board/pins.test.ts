// The pins of every board: none used twice, and none that the interpreter's build or the chip needs itself.
// Sources: boards/ESP32.py and boards/ESPRUINOWIFI.py of the interpreter, 2v29; for the ESP32's pins at start-up
// and its input-only pins, Espressif's ESP32 data sheet, "Strapping Pins" and "Pin Overview" (from memory).
import { describe, expect, it } from 'vitest';
import { loadBoards, type NamedBoard } from '../../../firmware/build/boards';

const boards = await loadBoards();

const ESP32 = {
  D0: 'button, and chooses the loader at start-up',
  D1: 'console, transmit (EV_SERIAL1)',
  D3: 'console, receive (EV_SERIAL1)',
  ...Object.fromEntries([6, 7, 8, 9, 10, 11].map((n) => [`D${n}`, 'flash'])),
  D12: 'high at start-up, it sets the flash to 1.8 V',
  D16: 'PSRAM of WROVER modules, which the build uses where present',
  D17: 'PSRAM of WROVER modules, which the build uses where present',
};

const STM32F4 = {
  A2: 'Wi-Fi module',
  A3: 'Wi-Fi module',
  A9: 'USB sense',
  A11: 'USB',
  A12: 'USB',
  A13: 'programming, Wi-Fi module',
  A14: 'programming, Wi-Fi module',
  A15: 'Wi-Fi module',
  B2: 'LED1',
  B6: 'console, transmit (default_console_tx)',
  B7: 'console, receive (default_console_rx)',
  B12: 'LED2',
  C13: 'button',
  C14: 'oscillator',
  C15: 'oscillator',
  H0: 'oscillator',
  H1: 'oscillator',
};

/** The chip's pins without an output driver: 34 to 39. */
const INPUT_ONLY = /^D3[4-9]$/;
/** Read at start-up: what an input brings there could keep the chip from starting. */
const READ_AT_START = ['D2', 'D5', 'D15'];
const OUTPUTS = ['relay', 'enable', 'red', 'sck', 'mosi', 'cs', 'reset', 'select', 'sda', 'scl'];

function reservedOf(board: NamedBoard): { [pin: string]: string } {
  return board.name.startsWith('esp32') ? ESP32 : STM32F4;
}

/** Each pin of a board with what it is for, wherever in its data a text looks like a pin. */
function pinsOf(part: object, name = ''): [string, string][] {
  return Object.entries(part).flatMap(([key, value]): [string, string][] => {
    const use = Array.isArray(part) ? name : key;
    if (typeof value === 'object' && value !== null) return pinsOf(value, use);
    return typeof value === 'string' && /^[A-H]\d{1,2}$/.test(value) ? [[value, use]] : [];
  });
}

describe.each(boards)('board $name', (board) => {
  const pins = pinsOf(board);

  it('names the pins it must have', () => {
    const uses = pins.map(([, use]) => use);
    expect(uses).toEqual(expect.arrayContaining(['relay', 'red', 'before', 'after', 'stop', 'key']));
    if (board.network === 'w5500') expect(board.spi).toBeDefined();
  });

  it('uses no pin twice', () => {
    expect(pins.map(([pin]) => pin).sort()).toEqual([...new Set(pins.map(([pin]) => pin))].sort());
  });

  it('leaves alone what the build and the chip need', () => {
    const reserved = reservedOf(board);
    expect(
      pins.filter(([pin]) => reserved[pin]).map(([pin, use]) => `${use}: ${pin}, ${reserved[pin]}`),
    ).toEqual([]);
  });

  it('drives no pin that can only be read, and puts no input where the chip reads at start-up', () => {
    const isEsp32 = board.name.startsWith('esp32');
    const inputs = pins.filter(([, use]) => !OUTPUTS.includes(use));
    expect(inputs.filter(([pin]) => isEsp32 && READ_AT_START.includes(pin))).toEqual([]);
    expect(pins.filter(([pin, use]) => isEsp32 && OUTPUTS.includes(use) && INPUT_ONLY.test(pin))).toEqual([]);
  });
});
