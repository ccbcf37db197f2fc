// The registers of a building, filled with what is told of its circuits.
import type { Site } from '../../site/model';
import type { BuildingStatus } from '../schema';
import { buildingStatus, type CircuitMessages } from '../status';
import type { Source } from './answer';
import { type Block, BUILDING, CIRCUIT, LUMINAIRE, placeOf } from './map';

const WORD_MAX = 0xffff;
/** Highest number of a unit (Modbus Application Protocol 1.1b3, 2012; from memory). */
export const UNITS_MAX = 247;

export interface Registers extends Source {
  take(messages: CircuitMessages): void;
  all(messages: CircuitMessages[]): void;
}

/** How many of the `count` things of a block are in a unit. */
function thingsIn<T>({ perUnit }: Block<T>, count: number, unit: number): number {
  return Math.min(perUnit, Math.max(0, count - (unit - 1) * perUnit));
}

/** How many units a site takes. */
export function unitsOf({ circuits }: Site): number {
  const luminaires = circuits.reduce((sum, one) => sum + one.luminaires.length, 0);
  const last = [placeOf(CIRCUIT, circuits.length - 1), placeOf(LUMINAIRE, luminaires - 1)];
  return Math.max(1, ...last.map(({ unit }) => unit));
}

/**
 * @param now UTC second
 * @throws Error with one sentence if the site has more than the units can hold
 */
export function newRegisters(site: Site, simulated: boolean, now: () => number): Registers {
  const circuits = new Map(site.circuits.map(({ id }, i) => [id, i]));
  const ids = site.circuits.flatMap(({ luminaires }) => luminaires.map(({ id }) => id));
  const luminaires = new Map(ids.map((id, i) => [id, i]));
  const count = unitsOf(site);
  if (count > UNITS_MAX)
    throw new Error('The site has more luminaires than Modbus units can hold; leave out --modbus.');
  const units = Array.from({ length: count }, () => new Uint16Array(WORD_MAX + 1));
  /** @param from what is known; undefined for nothing yet */
  const put = <T>(block: Block<T>, index: number, from?: T): void => {
    const { unit, register } = placeOf(block, index);
    let at = register;
    for (const { words, of, unknown } of block.fields) {
      const value = from === undefined ? unknown : of(from, now());
      if (words === 2) units[unit - 1][at++] = Math.floor(value / 65536);
      units[unit - 1][at++] = words === 2 ? value % 65536 : Math.min(WORD_MAX, value);
    }
  };
  const putBuilding = (told?: BuildingStatus): void => {
    put(BUILDING, 0, told);
    for (const words of units) words.set(units[0].subarray(0, BUILDING.stride));
  };
  putBuilding();
  for (let i = 0; i < circuits.size; i++) put(CIRCUIT, i);
  for (let i = 0; i < luminaires.size; i++) put(LUMINAIRE, i);
  const isThere = (unit: number, from: number, to: number): boolean => {
    const blocks: [Block<never>, number][] = [
      [BUILDING, 1],
      [CIRCUIT, thingsIn(CIRCUIT, circuits.size, unit)],
      [LUMINAIRE, thingsIn(LUMINAIRE, luminaires.size, unit)],
    ];
    return blocks.some(([{ at, stride }, things]) => from >= at && to <= at + stride * things);
  };
  return {
    take({ circuit, luminaires: own }) {
      put(CIRCUIT, circuits.get(circuit.circuit)!, circuit);
      for (const one of own) put(LUMINAIRE, luminaires.get(one.luminaire)!, one);
    },
    all(messages) {
      putBuilding(buildingStatus(site, simulated, messages));
    },
    read(unit, from, length) {
      // 0 and 255 are what clients send that know no units.
      const number = unit === 0 || unit === 255 ? 1 : unit;
      const words = units[number - 1];
      return words && isThere(number, from, from + length)
        ? words.slice(from, from + length)
        : 'no registers';
    },
  };
}
