// Current modules on a bus, as one circuit of the site file says: all of its luminaires or none, each of them
// read in a place of its own, by a scale that shows its current.
import type { Note, Path } from './note';
import type { SiteFile } from './schema';

type Circuit = SiteFile['circuits'][number];
type Luminaire = Circuit['luminaires'][number];

/** Counts a lamp's smaller current must have at least: a step of 5 % at most (common practice, no source). */
const COUNTS_LEAST = 20;
/** Largest signed count of a register, and the share of it that a lamp may take up: one that draws more shows. */
const COUNTS_MOST = 32767;
const COUNTS_SHARE = 0.5;

/** Notes every mistake about the current modules of circuit `i`. */
export function checkBus(circuit: Circuit, i: number, note: Note): void {
  if (circuit.luminaires.every((lamp) => lamp.module === undefined)) {
    checkNone(circuit, i, note);
    return;
  }
  const read = new Map<string, string>();
  circuit.luminaires.forEach((lamp, j) => {
    const path: Path = ['circuits', i, 'luminaires', j];
    if (lamp.module === undefined) {
      note(
        [...path, 'module'],
        `is missing; circuit "${circuit.id}" has luminaires on a bus, and a controller reads either a bus or ` +
          'its own converter: write the module of every luminaire, or of none',
      );
      return;
    }
    checkPlace(lamp, circuit, path, read, note);
    checkScale(lamp, circuit, path, note);
  });
}

/** Without a module, what else is said about modules has no meaning. */
function checkNone(circuit: Circuit, i: number, note: Note): void {
  for (const field of ['bus', 'register', 'milliampsPerCount'] as const)
    if (circuit[field] !== undefined)
      note(
        ['circuits', i, field],
        `is only for a circuit with current modules on a bus; write the module of every luminaire, or remove ` +
          'this field',
      );
  circuit.luminaires.forEach((lamp, j) => {
    for (const field of ['register', 'milliampsPerCount'] as const)
      if (lamp[field] !== undefined)
        note(
          ['circuits', i, 'luminaires', j, field],
          `is only for a luminaire with a current module on a bus; write its module too, or remove this field`,
        );
  });
}

function checkPlace(
  lamp: Luminaire,
  circuit: Circuit,
  path: Path,
  read: Map<string, string>,
  note: Note,
): void {
  const register = lamp.register ?? circuit.register;
  if (register === undefined) {
    note([...path, 'register'], 'is missing; write it for the luminaire or once for its circuit');
    return;
  }
  const place = `${lamp.module} ${register}`;
  const other = read.get(place);
  if (other !== undefined)
    note(
      [...path, 'module'],
      `luminaire "${other}" is read at register ${register} of module ${lamp.module} too; give each module an ` +
        'address of its own, or each luminaire of one module a register of its own',
    );
  read.set(place, other ?? lamp.id);
}

function checkScale(lamp: Luminaire, circuit: Circuit, path: Path, note: Note): void {
  const scale = lamp.milliampsPerCount ?? circuit.milliampsPerCount;
  const at = [...path, 'milliampsPerCount'];
  if (scale === undefined) {
    note(at, 'is missing; write it for the luminaire or once for its circuit');
    return;
  }
  const currents = [lamp.batteryMilliamps, lamp.mainsMilliamps ?? lamp.batteryMilliamps];
  const [least, most] = [Math.min(...currents), Math.max(...currents)];
  if (least / scale < COUNTS_LEAST)
    note(
      at,
      `one count of ${scale} mA is too coarse for ${least} mA; choose a module or register with at most ` +
        `${least / COUNTS_LEAST} mA a count, or correct the scale`,
    );
  else if (most / scale > COUNTS_MOST * COUNTS_SHARE)
    note(
      at,
      `at ${scale} mA a count, ${most} mA leaves no room in a register of up to ${COUNTS_MOST}; correct the scale`,
    );
}
