// What a guard circuit is made of, as data, from which the netlist comes.

export type Kind =
  | 'resistor'
  | 'capacitor'
  | 'diode'
  | 'lamp'
  | 'nfet'
  | 'pfet'
  | 'coil'
  | 'fuse'
  | 'photo-MOSFET'
  | 'button'
  | 'monostable'
  | 'counter'
  | 'comparator';

/** Which guard a part belongs to. */
export type Section = 'detector' | 'enable' | 'timer' | 'coil';

export interface Part {
  id: string;
  kind: Kind;
  section: Section;
  /** Nets of its pins, in the order that models.ts gives for the kind; '0' is ground. */
  pins: string[];
  /** Ohm, farad or henry, where the kind has one value. */
  value?: number;
  /** Tolerance as a share, and change with temperature in parts per million per kelvin, either sign. */
  tolerance?: number;
  ppm?: number;
  /** What to buy. */
  rating: string;
  /** What it is for. */
  duty: string;
}

/** A property of a part's model that differs from one piece to the next. */
export interface Spread {
  part: string;
  /** Name of the property in the part's model. */
  name: string;
  low: number;
  typical: number;
  high: number;
  source: string;
}

export interface Circuit {
  name: string;
  parts: Part[];
  spreads: Spread[];
  /** Supply of the coil, V, and its tolerance as a share. */
  supplyVolts: number;
  supplyTolerance: number;
}

export function partOf(circuit: Circuit, id: string): Part {
  const part = circuit.parts.find((p) => p.id === id);
  if (!part) throw new Error(`The circuit "${circuit.name}" has no part ${id}.`);
  return part;
}

/** Value of a part that has one. */
export function ratedValue(circuit: Circuit, id: string): number {
  const { value } = partOf(circuit, id);
  if (value === undefined) throw new Error(`Part ${id} of the circuit "${circuit.name}" has no value.`);
  return value;
}

/** The circuit with only some of its parts. */
export function withParts(circuit: Circuit, isWanted: (part: Part) => boolean): Circuit {
  const parts = circuit.parts.filter(isWanted);
  const spreads = circuit.spreads.filter(({ part }) => parts.some(({ id }) => id === part));
  return { ...circuit, parts, spreads };
}
