// How a controller reads its lamps: by the converter of its board, or through the current modules that the site
// file places on a bus. Board and circuit must agree.
import type { Board } from '../../firmware/board/board';
import type { BusModule, Circuit } from '../site/model';

/** What `commission` sets of a bus driver's wiring (firmware/board/lamps); the board's own values are defaults. */
interface BusWiring {
  driver: string;
  /** Bits per second. */
  baud: number;
  parity: 'even' | 'odd' | 'none';
  /** Function that reads the current: 4 for an input register, 3 for a holding register. */
  code: number;
  /** Three numbers for each lamp: address of its module, register, mA a count. */
  rows: number[];
}

const CODES = { input: 4, holding: 3 };
/** Digits that the controller keeps of a scale. */
const SCALE_DIGITS = 7;

/** The bus of a board; undefined if its lamps are read by a converter. */
function busOf(board: Board): BusWiring | undefined {
  return 'rows' in board.adc ? (board.adc as BusWiring) : undefined;
}

function rowOf({ address, register, milliampsPerCount }: BusModule): number[] {
  return [address, register, Number(milliampsPerCount.toPrecision(SCALE_DIGITS))];
}

/**
 * Wiring of the lamp sensors for the controller of a circuit.
 * @param boards of all kinds, to name one that fits
 * @throws Error in one sentence where one of board and circuit has a bus and the other has none
 */
export function lampWiring(
  board: Board & { name: string },
  circuit: Circuit,
  boards: (Board & { name: string })[],
): Board['adc'] {
  const bus = busOf(board);
  const { bus: said, id, luminaires } = circuit;
  if (!bus && !said) return board.adc;
  if (bus && said) {
    const wiring: BusWiring = { ...bus, ...settingsOf(said), rows: rowsOf(circuit) };
    return wiring;
  }
  const fitting = boards.filter((one) => !busOf(one) === !said).map(({ name }) => name);
  const choice = fitting.length > 0 ? `choose one of: ${fitting.join(', ')}` : 'there is none that fits';
  throw new Error(
    bus
      ? `Board "${board.name}" reads current modules on a bus, but the luminaires of circuit "${id}" have no ` +
          `module in the site file; add module, register and milliampsPerCount to them, or ${choice}.`
      : `Circuit "${id}" has current modules on a bus in the site file (luminaire ${luminaires[0].id}: module ` +
          `${luminaires[0].module!.address}), but board "${board.name}" has no bus; ${choice}.`,
  );
}

function rowsOf({ luminaires }: Circuit): number[] {
  return luminaires.flatMap(({ module }) => (module ? rowOf(module) : []));
}

function settingsOf({ bitsPerSecond, parity, registers }: NonNullable<Circuit['bus']>): Partial<BusWiring> {
  return {
    ...(bitsPerSecond !== undefined && { baud: bitsPerSecond }),
    ...(parity !== undefined && { parity }),
    ...(registers !== undefined && { code: CODES[registers] }),
  };
}

/** What must be set in the modules so that the controller can read them, one sentence; undefined without a bus. */
export function moduleSettings(wiring: Board['adc']): string | undefined {
  if (!('rows' in wiring)) return undefined;
  const { baud, parity, code, rows } = wiring as BusWiring;
  const addresses = [...new Set(rows.filter((_, i) => i % 3 === 0))].sort((a, b) => a - b);
  const stopBits = parity === 'none' ? '2 stop bits' : '1 stop bit';
  const registers = code === CODES.holding ? 'holding' : 'input';
  return (
    `Set in every current module: ${baud.toLocaleString('en')} bit/s, parity ${parity}, ${stopBits}. Their addresses: ` +
    `${addresses.join(', ')}. The currents are read from ${registers} registers.`
  );
}
