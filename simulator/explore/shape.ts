// Numbers of an object, saved to and loaded from a run of integers. Copying objects to branch takes several
// times longer than everything the core does in a turn; this takes a fraction of it.
import { Limit } from '../../firmware/contract/limits';

type Numbers = ArrayLike<number> & { [i: number]: number };

/** Generates straight-line code once and is then as fast as code written by hand. */
export interface Shape<T> {
  words: number;
  save(from: T, to: Int32Array, at: number): void;
  load(into: T, from: Int32Array, at: number): void;
}

/** A clock's base is too wide for one integer: stored as a high and a low half. */
const WIDE = /Base$/;
const HALF = 1073741824;

/** How much of an array the small world uses: rows beyond the last lamp are unused. */
function usedLength(name: string, array: Numbers, lampCount: number, slotCount: number): number {
  if (name === 'slotState') return slotCount;
  return array.length % Limit.Luminaires === 0 ? (array.length / Limit.Luminaires) * lampCount : array.length;
}

/** Every place that holds a number, written as in code; `skip` names those that never change. */
export function placesOf(root: object, skip: string[], lampCount: number, slotCount: number): string[] {
  const places: string[] = [];
  for (const [name, value] of Object.entries(root)) {
    if (skip.includes(name)) continue;
    if (typeof value === 'number') places.push(`.${name}`);
    else if (ArrayBuffer.isView(value)) {
      const array = value as unknown as Numbers;
      const length = usedLength(name, array, lampCount, slotCount);
      for (let i = 0; i < length; i++) places.push(`.${name}[${i}]`);
    } else if (name === 'in')
      for (const place of placesOf(value, skip, lampCount, slotCount)) places.push(`.in${place}`);
  }
  return places;
}

/** Shape of everything at `places`. */
export function shapeOf<T>(places: string[]): Shape<T> {
  const saved: string[] = [];
  const loaded: string[] = [];
  let words = 0;
  for (const place of places) {
    if (WIDE.test(place)) {
      saved.push(`b[o+${words}]=Math.floor(x${place}/${HALF});b[o+${words + 1}]=x${place}%${HALF};`);
      loaded.push(`x${place}=b[o+${words}]*${HALF}+b[o+${words + 1}];`);
      words += 2;
    } else {
      saved.push(`b[o+${words}]=x${place};`);
      loaded.push(`x${place}=b[o+${words}];`);
      words++;
    }
  }
  return {
    words,
    save: new Function('x', 'b', 'o', saved.join('\n')) as Shape<T>['save'],
    load: new Function('x', 'b', 'o', loaded.join('\n')) as Shape<T>['load'],
  };
}
