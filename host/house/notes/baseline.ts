// The commissioned current of each luminaire: from the site file, until a named person accepts what a
// complete test measured. An accepted value applies while the site file says the same of the luminaire: someone
// who corrects the file later means the file.
import { Verdict } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import type { BaselineView } from '../../api/views';
import type { LampResult } from '../../records/result';
import type { Circuit, Luminaire } from '../../site/model';
import { reasonSentence } from '../../words/codes';
import type { CompleteTest } from '../history/history';
import type { Decision, NewNote } from './notes';

/** Currents of a lamp on battery and on mains, mA; mains is 0 in modes that are dark on mains. */
export interface Currents {
  battery: number;
  mains: number;
}

/** Currents by which a luminaire is judged, and whether nobody has measured them. */
export interface Reference extends Currents {
  expected?: boolean;
}

/** One luminaire's row in a note: the site file's value, the value until now, the value from now on. */
interface Row {
  luminaire: string;
  site: Reference;
  old: Reference;
  new: Currents;
}

export interface BaselineFields {
  /** Number of the log book entry with the measured values. */
  result: number;
  lamps: Row[];
}

/** What was accepted for a luminaire, by whom and when (UTC second). */
export interface Accepted extends Currents {
  who: string;
  at: number;
  /** Number of its entry in the log book. */
  entry: number;
  /** Number of the entry up to which it was judged by other currents that nobody had measured; 0 if it never was. */
  expectedUntil: number;
}

/** What the newest complete test measured on one luminaire. */
export interface Measured extends Currents {
  luminaire: string;
  /** False: `mains` was not measured and is the site file's own. */
  seenOnMains: boolean;
  /** Why it cannot be accepted, one sentence; '' if it can. */
  refusal: string;
}

/** The newest complete test of a circuit. */
export interface Measurement {
  entry: number;
  /** UTC second it began. */
  at: number;
  lamps: Measured[];
}

/**
 * A lamp never takes this far above the site file's value: then sensor or file is wrong (common practice, no
 * source).
 */
const MOST_PERCENT = 130;

export function currentsOf(lamp: Luminaire): Currents {
  return { battery: lamp.batteryMilliamps, mains: lamp.mainsMilliamps };
}

export function referenceOf(lamp: Luminaire): Reference {
  return { ...currentsOf(lamp), ...(lamp.isExpected && { expected: true }) };
}

function lampIn(circuit: Circuit, luminaire: string): Luminaire {
  return circuit.luminaires.find((lamp) => lamp.id === luminaire)!;
}

function isSameCurrents(a: Currents, b: Currents): boolean {
  return a.battery === b.battery && a.mains === b.mains;
}

export function isSameReference(a: Reference, b: Reference): boolean {
  return isSameCurrents(a, b) && (a.expected ?? false) === (b.expected ?? false);
}

/** What a note says of one luminaire. @param before what applied until then, if that had been accepted */
export function acceptedBy(
  row: Row,
  { who, at, entry }: Pick<Accepted, 'who' | 'at' | 'entry'>,
  before: Accepted | undefined,
): Accepted {
  const isGuess = row.old.expected === true && !isSameCurrents(row.old, row.new);
  return { ...row.new, who, at, entry, expectedUntil: isGuess ? entry : (before?.expectedUntil ?? 0) };
}

/** The circuit with the currents that apply. */
export function withBaselines(circuit: Circuit, accepted: ReadonlyMap<string, Accepted>): Circuit {
  if (accepted.size === 0) return circuit;
  const luminaires = circuit.luminaires.map((lamp) => {
    const found = accepted.get(lamp.id);
    if (!found) return lamp;
    const { isExpected: _, ...rest } = lamp;
    return { ...rest, batteryMilliamps: found.battery, mainsMilliamps: found.mains };
  });
  return { ...circuit, luminaires };
}

/** Why a current cannot come from a sound lamp; '' if it can. The site file's value is the reference. */
function implausible(value: number, site: number, floorPercent: number, where: string): string {
  if (value <= Limit.RailLow || value >= Limit.RailHigh)
    return `its sensor was open circuit or saturated ${where}`;
  const measure = `the ${site} mA in the site file`;
  if (value * 100 < site * floorPercent)
    return `${value} mA ${where} is below ${floorPercent} % of ${measure}`;
  if (value * 100 > site * MOST_PERCENT)
    return `${value} mA ${where} is more than ${MOST_PERCENT} % of ${measure}`;
  return '';
}

function measuredLamp(lamp: Luminaire, row: LampResult, floorPercent: number): Measured {
  const { verdict, reason, milliampsAt60: battery, onMainsMilliamps } = row;
  // Dark on mains, by mode or by its switch: the last number is no current, and the site file's value stays.
  const isSeen = lamp.mainsMilliamps > 0 && onMainsMilliamps * 100 > lamp.mainsMilliamps * Limit.DarkPercent;
  const seen = isSeen ? onMainsMilliamps : 0;
  const mains = seen > 0 ? seen : lamp.mainsMilliamps;
  const why =
    verdict !== Verdict.Pass
      ? `it did not pass. ${reasonSentence(reason)}`.trimEnd()
      : implausible(battery, lamp.batteryMilliamps, floorPercent, 'on battery') ||
        (seen > 0 ? implausible(mains, lamp.mainsMilliamps, floorPercent, 'on mains') : '');
  const refusal = why === '' ? '' : `${lamp.id}: ${why}${why.endsWith('.') ? '' : '.'}`;
  return { luminaire: lamp.id, battery, mains, seenOnMains: seen > 0, refusal };
}

/**
 * What the newest complete test of a circuit measured: mA at 60 s on battery, and the mean on mains.
 * @param circuit with the site file's own currents
 * @param floorPercent lowest share of the site file's current that counts as lit
 * @returns undefined also for a test of different wiring, whose rows are not these luminaires
 */
export function measurement(
  circuit: Circuit,
  complete: CompleteTest | undefined,
  floorPercent: number,
): Measurement | undefined {
  if (!complete || complete.lamps.length !== circuit.luminaires.length) return undefined;
  const { entry, at } = complete;
  const lamps = circuit.luminaires.map((lamp, i) => measuredLamp(lamp, complete.lamps[i], floorPercent));
  return { entry, at, lamps };
}

/** The request to accept what the newest complete test measured. */
export interface Acceptance {
  /** site/circuit */
  address: string;
  /** With the site file's own currents. */
  circuit: Circuit;
  /** The same with the currents that apply. */
  inForce: Circuit;
  complete: CompleteTest | undefined;
  /** Luminaires meant; empty means the whole circuit. */
  luminaires: string[];
  who: string;
  /** UTC second. */
  at: number;
  floorPercent: number;
}

/**
 * Those of a circuit whose currents are only expected, in two groups: what can be accepted of them, and why not the
 * others, one sentence each.
 */
export function expectedOf(a: Pick<Acceptance, 'circuit' | 'inForce' | 'complete' | 'floorPercent'>): {
  luminaires: string[];
  refusals: string[];
} {
  const expected = new Set(a.inForce.luminaires.flatMap((one) => (one.isExpected ? [one.id] : [])));
  const lamps = measurement(a.circuit, a.complete, a.floorPercent)?.lamps ?? [];
  const meant = lamps.filter(({ luminaire }) => expected.has(luminaire));
  return {
    luminaires: meant.flatMap(({ luminaire, refusal }) => (refusal === '' ? [luminaire] : [])),
    refusals: meant.flatMap(({ refusal }) => (refusal === '' ? [] : [refusal])),
  };
}

export interface BaselineNote extends NewNote {
  fields: BaselineFields;
}

/** The note that accepts all the luminaires meant, or why none is accepted, one sentence each. */
export function decideAcceptance(a: Acceptance): Decision<BaselineNote> {
  const found = measurement(a.circuit, a.complete, a.floorPercent);
  if (!found)
    return {
      refusals: [
        `The log book holds no complete test of circuit ${a.circuit.id} as it is wired now. Test it first.`,
      ],
    };
  const unknown = a.luminaires.filter((id) => !found.lamps.some((lamp) => lamp.luminaire === id));
  if (unknown.length > 0)
    return { refusals: unknown.map((id) => `Circuit ${a.circuit.id} has no luminaire ${id}.`) };
  const meant = found.lamps.filter(
    (lamp) => a.luminaires.length === 0 || a.luminaires.includes(lamp.luminaire),
  );
  const refusals = meant.map((lamp) => lamp.refusal).filter((refusal) => refusal !== '');
  if (refusals.length > 0) return { refusals };
  const lamps = meant.map(
    ({ luminaire, battery, mains }): Row => ({
      luminaire,
      site: referenceOf(lampIn(a.circuit, luminaire)),
      old: referenceOf(lampIn(a.inForce, luminaire)),
      new: { battery, mains },
    }),
  );
  const { address, at, who } = a;
  return { note: { address, kind: 'baseline', at, who, fields: { result: found.entry, lamps } } };
}

/** The currents of a luminaire as shown: from the site file, applied, measured. */
export function baselineView(
  circuit: Circuit,
  { inForce, accepted }: { inForce: Circuit; accepted: ReadonlyMap<string, Accepted> },
  found: Measurement | undefined,
  luminaire: string,
): BaselineView {
  const own = accepted.get(luminaire);
  const lamp = found?.lamps.find((one) => one.luminaire === luminaire);
  const mains = lamp?.seenOnMains ? lamp.mains : null;
  return {
    site: currentsOf(lampIn(circuit, luminaire)),
    inForce: currentsOf(lampIn(inForce, luminaire)),
    accepted: own ? { who: own.who, at: own.at } : null,
    measured: found && lamp ? { battery: lamp.battery, mains, at: found.at, refusal: lamp.refusal } : null,
  };
}

/** A row in words: "GA-03 on battery 260 mA -> 248 mA". */
export function rowWords(row: Row): string {
  const mains = row.new.mains > 0 ? `, on mains ${row.old.mains} mA -> ${row.new.mains} mA` : '';
  return `${row.luminaire} on battery ${row.old.battery} mA -> ${row.new.battery} mA${mains}`;
}
