// What a way of testing amounts to, measured by what truly happened to the luminaires. All instants in
// simulated ms.
import { TestKind } from '../../firmware/contract/codes';
import type { Chapter, Off, TestNote } from '../people/chronicle';
import type { Failure } from '../people/repairs';
import type { LuminaireSpec } from '../plant/luminaire';
import type { Span } from '../plant/spans';
import { type Life, lifeOf } from './autonomy';

const HOUR_MS = 3_600_000;
const DAY_MS = 86_400_000;

/** One circuit through the whole run. */
export interface CircuitStory {
  circuit: string;
  lamps: LuminaireSpec[];
  offs: Off[];
  tests: TestNote[];
  failures: Failure[];
  soundReported: number;
  ailments: Chapter['ailments'];
}

export interface AreaUse {
  area: string;
  /** The luminaires in it. */
  luminaires: string[];
  /** When people are present; sorted, disjoint. */
  occupied: Span[];
}

export interface Story {
  circuits: CircuitStory[];
  areas: AreaUse[];
  until: number;
  /** Name of the night or working day that a test belongs to. */
  dayOf: (circuit: string, at: number) => string;
  isByHand: boolean;
}

export interface Measures {
  /**
   * Hours, summed over areas, in which people were in an area with a luminaire short of its rated duration.
   */
  exposureHours: number;
  /** Of these: with a broken one; with a sound one that was discharged or not yet recharged. */
  brokenHours: number;
  dischargedHours: number;
  failures: number;
  found: number;
  /** From the start of a failure until someone knew of it; undefined where none was found. */
  medianDaysToFind?: number;
  worstDaysToFind?: number;
  notFound: number;
  /** Luminaires reported with nothing wrong. */
  soundReported: number;
  openings: number;
  /** Of these over the rated duration, two thirds of it or longer. */
  longOpenings: number;
  nightsUsed: number;
  workingDaysUsed: number;
  /** Luminaires whose battery was run down at least once. */
  flatLuminaires: number;
  /** Per cent of the batteries' life that discharges used up: the mean of all luminaires, and the most. */
  wearMeanPercent: number;
  wearMostPercent: number;
  /** Hours, summed over circuits, without supply beyond what the test needed. */
  beyondTestHours: number;
}

/** Joins the parts of a circuit's story. */
export function storyOf(circuit: string, lamps: LuminaireSpec[], chapters: Chapter[]): CircuitStory {
  const last = chapters[chapters.length - 1];
  return {
    circuit,
    lamps,
    offs: [...chapters.flatMap((chapter) => chapter.offs), ...(last.still ? [last.still] : [])],
    tests: chapters.flatMap((chapter) => chapter.tests),
    failures: last.failures,
    soundReported: last.soundReported,
    ailments: last.ailments,
  };
}

/** Spans joined, sorted and disjoint. */
export function joined(spans: Span[]): Span[] {
  const out: Span[] = [];
  for (const span of [...spans].sort((a, b) => a.from - b.from)) {
    const last = out[out.length - 1];
    if (last && span.from <= last.to) last.to = Math.max(last.to, span.to);
    else out.push({ from: span.from, to: span.to });
  }
  return out;
}

/** Time in which both hold; each sorted and disjoint. */
export function overlapMs(one: Span[], other: Span[]): number {
  let sum = 0;
  for (let i = 0, k = 0; i < one.length && k < other.length; ) {
    sum += Math.max(0, Math.min(one[i].to, other[k].to) - Math.max(one[i].from, other[k].from));
    if (one[i].to < other[k].to) i++;
    else k++;
  }
  return sum;
}

/** The median. */
export function medianOf(values: number[]): number | undefined {
  if (values.length === 0) return undefined;
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
}

function livesOf({ circuits, until }: Story): Map<string, Life> {
  const lives = new Map<string, Life>();
  for (const { lamps, ailments, offs } of circuits)
    lamps.forEach((spec, place) => {
      lives.set(spec.id, lifeOf(spec, ailments[place], offs, until));
    });
  return lives;
}

function exposure(story: Story, lives: Map<string, Life>, wanted: (isBroken: boolean) => boolean): number {
  let ms = 0;
  for (const { luminaires, occupied } of story.areas) {
    const short = luminaires.flatMap((id) => lives.get(id)?.short ?? []);
    ms += overlapMs(joined(short.filter(({ isBroken }) => wanted(isBroken))), occupied);
  }
  return ms / HOUR_MS;
}

function beyondMs(offs: Off[]): number {
  return offs.reduce((sum, off) => sum + Math.max(0, off.to - off.from - off.meantMs), 0);
}

/** The outcome. Two stories of the same luminaires, areas and length can be compared. */
export function measure(story: Story): Measures {
  const { circuits, dayOf, isByHand } = story;
  const lives = livesOf(story);
  const failures = circuits.flatMap((circuit) => circuit.failures);
  const waits = failures.flatMap(({ at, foundAt }) =>
    foundAt === undefined ? [] : [(foundAt - at) / DAY_MS],
  );
  const tests = circuits.flatMap((circuit) => circuit.tests);
  const days = new Set(circuits.flatMap((c) => c.tests.map(({ at }) => dayOf(c.circuit, at)))).size;
  const median = medianOf(waits);
  const spent = [...lives.values()].map((life) => 100 * life.spent);
  return {
    exposureHours: exposure(story, lives, () => true),
    brokenHours: exposure(story, lives, (isBroken) => isBroken),
    dischargedHours: exposure(story, lives, (isBroken) => !isBroken),
    failures: failures.length,
    found: waits.length,
    ...(median !== undefined && { medianDaysToFind: median, worstDaysToFind: Math.max(...waits) }),
    notFound: failures.length - waits.length,
    soundReported: circuits.reduce((sum, circuit) => sum + circuit.soundReported, 0),
    openings: tests.length,
    longOpenings: tests.filter(({ kind }) => kind !== TestKind.Brief).length,
    nightsUsed: isByHand ? 0 : days,
    workingDaysUsed: isByHand ? days : 0,
    flatLuminaires: [...lives.values()].filter(({ flat }) => flat > 0).length,
    wearMeanPercent: spent.reduce((sum, one) => sum + one, 0) / Math.max(1, spent.length),
    wearMostPercent: spent.reduce((most, one) => Math.max(most, one), 0),
    beyondTestHours: circuits.reduce((sum, { offs }) => sum + beyondMs(offs), 0) / HOUR_MS,
  };
}
