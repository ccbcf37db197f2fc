// Pieces of a circuit as they come out of the bag: every value and property drawn within its tolerance, moved by
// temperature, and the commands that put them into a running simulation.
import { fork, nextUnit, type Random } from '../random';
import type { Circuit, Part, Spread } from './part';

/** Values by `part` or `part.property`, and the supply. */
export type Sample = Map<string, number>;

const ROOM_CELSIUS = 25;
/** One sample in this many has every value at one end of its range. */
const CORNER_EVERY = 4;

/** In [-1, 1]: anywhere, or at an end. */
function draw(random: Random, isCorner: boolean): number {
  const u = 2 * nextUnit(random) - 1;
  return isCorner ? Math.sign(u) || 1 : u;
}

function drawnValue(part: Part, random: Random, isCorner: boolean, celsius: number): number {
  const ppm = (part.ppm ?? 0) * (part.kind === 'coil' ? 1 : draw(random, isCorner));
  const warmth = 1 + ppm * 1e-6 * (celsius - ROOM_CELSIUS);
  return part.value! * (1 + (part.tolerance ?? 0) * draw(random, isCorner)) * warmth;
}

function drawnProperty(spread: Spread, random: Random, isCorner: boolean): number {
  return spread.low + ((spread.high - spread.low) * (1 + draw(random, isCorner))) / 2;
}

/** Sample `index` of a circuit at a temperature; always the same one for the same arguments. */
export function sampleOf(circuit: Circuit, index: number, celsius: number): Sample {
  const random = fork(index, circuit.name);
  const isCorner = index % CORNER_EVERY === 0;
  const sample: Sample = new Map();
  for (const part of circuit.parts)
    if (part.value !== undefined) sample.set(part.id, drawnValue(part, random, isCorner, celsius));
  for (const spread of circuit.spreads)
    sample.set(`${spread.part}.${spread.name}`, drawnProperty(spread, random, isCorner));
  sample.set('supply', circuit.supplyVolts * (1 + circuit.supplyTolerance * draw(random, isCorner)));
  return sample;
}

/** Commands that change one property of a model. */
const ALTER: { [name: string]: (id: string, value: number) => string[] } = {
  factor: (id, v) => [`alter v_${id}_factor = ${v}`],
  reference: (id, v) => [`alter v_${id}_reference = ${v}`],
  threshold: (id, v) => [`alter v_${id}_threshold = ${v}`],
  output: (id, v) => [`alter r_${id}_10 = ${v}`, `alter r_${id}_9 = ${v}`],
  gate: (id, v) => [`altermod n_${id} vto = ${v}`],
  henry: (id, v) => [`alter l_${id} = ${v}`],
  leak: (id, v) => [`alter r_${id}_leak = ${v}`],
};

/** Commands for ngspice that turn the circuit into this sample. */
export function alterations(circuit: Circuit, sample: Sample): string[] {
  const parts = circuit.parts.filter((part) => part.value !== undefined);
  return [
    `alter v_supply = ${sample.get('supply')}`,
    ...parts.map(({ id, kind }) => `alter ${kind === 'capacitor' ? 'c' : 'r'}_${id} = ${sample.get(id)}`),
    ...circuit.spreads.flatMap(({ part, name }) => ALTER[name](part, sample.get(`${part}.${name}`)!)),
  ].map((command) => command.toLowerCase());
}
