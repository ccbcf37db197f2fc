// One unit for each of several buildings, numbered from 1 in the order of their site files, whether they are served or not: a
// number never means another building while the host runs.
import type { Source } from './answer';
import { type Registers, UNITS_MAX } from './registers';

export interface Units extends Source {
  /** Answers for a building with its registers. @returns ends that */
  serve(unit: number, registers: Registers): () => void;
}

/** @throws Error with one sentence if there are more buildings than units */
export function newUnits(count: number): Units {
  if (count > UNITS_MAX)
    throw new Error(`Modbus has ${UNITS_MAX} units, and these are ${count} buildings; leave out --modbus.`);
  const served = new Map<number, Registers>();
  return {
    serve(unit, registers) {
      served.set(unit, registers);
      return () => void served.delete(unit);
    },
    // 0 and 255, of clients that know no units, would name any building here.
    read(unit, from, length) {
      if (unit < 1 || unit > count) return 'no unit';
      return served.get(unit)?.read(1, from, length) ?? 'not served';
    },
  };
}
