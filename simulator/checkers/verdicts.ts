// Compares the verdicts of a test with what the lamps truly did.
import { Reason, Verdict } from '../../firmware/contract/codes';
import { Limit } from '../../firmware/contract/limits';
import type { Core } from '../../firmware/core/state';
import type { SimulatedController } from '../node';
import { faultsBetween, type Luminaire } from '../plant/luminaire';
import { isOfModule, type LuminaireFault } from '../plant/luminaireFaults';
import { ownSec, SLACK_MS } from './rules';
import type { Watched } from './watched';

/**
 * A lamp dark for this long in a test has not passed it: longer than a dip and any gap between readings, ms.
 */
const SURE_DARK_MS = Limit.DipMs + 2 * Limit.SampleGapMs;
/** A fault in force this long before the opening is in every reading of the test, those on mains too, ms. */
const LOOK_MS = 60_000;

/** Longest time one of the faults kept a lamp dark between two instants, ms. */
function darkMs(faults: LuminaireFault[], from: number, to: number): number {
  let most = 0;
  for (const fault of faults)
    if (fault.kind === 'dead lamp' || fault.kind === 'battery open')
      most = Math.max(most, Math.min(to, fault.to) - Math.max(from, fault.from));
  return most;
}

/**
 * How far apart its currents on mains and on battery must be, as a share of the larger, for a lamp to show which
 * it is on: more than age and noise take from either.
 */
const TOLD_APART = 0.25;
/** A second lamp of at least this share on the same sensor shows. */
const SECOND_LAMP = 0.6;

function isApart(a: number, b: number): boolean {
  return Math.abs(a - b) >= TOLD_APART * Math.max(a, b);
}

/** The one fault of a luminaire, if it has one only and that lasts from before `from` until after `to`. */
function onlyFault(faults: LuminaireFault[], from: number, to: number): LuminaireFault | undefined {
  const [one] = faults;
  return faults.length === 1 && one.from < from - LOOK_MS && one.to > to ? one : undefined;
}

/** Whether it was fed from elsewhere, and nothing in its current could have shown that. */
function isFedUnseen(l: Luminaire, faults: LuminaireFault[], only: LuminaireFault | undefined): boolean {
  if (!faults.some(({ kind }) => kind === 'fed from elsewhere')) return false;
  return only === undefined || !isApart(l.spec.mainsMilliamps, l.spec.batteryMilliamps);
}

/** Whether its sensor showed the sum of two lamps that were both lit, the other one bright enough to tell. */
function hasReadTwo(
  node: SimulatedController,
  i: number,
  only: LuminaireFault | undefined,
  w: Watched,
): boolean {
  if (only?.kind !== 'sensor shared') return false;
  const { luminaires } = node.plant;
  const other = luminaires.indexOf(only.with);
  const share = only.with.spec.batteryMilliamps / luminaires[i].spec.batteryMilliamps;
  const isSound = faultsBetween(only.with, w.drivenAt, w.releasedAt).length === 0;
  return share >= SECOND_LAMP && isSound && w.litAtEnd[i] && w.litAtEnd[other];
}

/** What is broken of one lamp, as sentences. @param hasBounced the contact bounced meanwhile */
function brokenVerdict(
  node: SimulatedController,
  core: Core,
  w: Watched,
  now: number,
  i: number,
  hasBounced: boolean,
): string[] {
  const broken: string[] = [];
  // What is wrong with its module never excuses a verdict.
  const faults = faultsBetween(node.plant.luminaires[i], w.drivenAt, now).filter((one) => !isOfModule(one));
  const l = node.plant.luminaires[i];
  const only = onlyFault(faults, w.drivenAt, now);
  const misled = faults.some(({ kind }) => kind.startsWith('sensor')) || isFedUnseen(l, faults, only);
  // A lamp with a shorter rated duration has passed at its own end, and may be dark at the end of the
  // others'.
  const ownEnd = 1000 * ownSec(node.spec.rules, w.drivenKind, node.spec.lamps[i].ratedSec);
  const isOwn = w.releasedAt - w.drivenAt < ownEnd + Limit.OpenProofMs + SLACK_MS;
  if (core.verdict[i] === Verdict.Pass && !w.litAtOwnEnd[i] && !misled && isOwn)
    broken.push(`I8 ${node.spec.lamps[i].id} passed but was dark`);
  const dark = darkMs(faults, w.drivenAt, Math.min(w.releasedAt, w.drivenAt + ownEnd));
  if (core.verdict[i] === Verdict.Pass && dark > SURE_DARK_MS && !misled)
    broken.push(`I8 ${node.spec.lamps[i].id} passed but was dark for a while`);
  if (core.verdict[i] === Verdict.Pass && hasReadTwo(node, i, only, w))
    broken.push(`I8 ${node.spec.lamps[i].id} passed by the current of two lamps`);
  const why = core.why[i];
  const darkness = (why >= Reason.NotLitAtFiveSeconds && why <= Reason.EndedEarly) || why === Reason.Flickers;
  if (core.verdict[i] === Verdict.Fail && darkness && w.litAtEnd[i] && faults.length === 0 && !hasBounced)
    broken.push(`I8 ${node.spec.lamps[i].id} failed but was lit`);
  return broken;
}

/** Whether a lamp without a fault, lit to its own end, has passed: nothing is broken of it. */
function isPlainlyRight({ plant }: SimulatedController, { verdict }: Core, w: Watched, i: number): boolean {
  return verdict[i] === Verdict.Pass && w.litAtOwnEnd[i] && plant.luminaires[i].faults.length === 0;
}

/**
 * I8 against the truth: a lamp that passed was lit to the end and never dark for long; one that failed as
 * dark was not. A sensor within its range cannot be told from the truth, unless another lamp's current shows in
 * it; a lamp that never left the mains was not lit on battery. A dim or late lamp may well be lit at the end.
 * @returns what is broken, as sentences
 */
export function brokenVerdicts(node: SimulatedController, core: Core, w: Watched, now: number): string[] {
  const broken: string[] = [];
  // A contact that bounces for seconds restarts each lamp: its state at the end says nothing about earlier.
  const hasBounced = node.plant.relay.bounces.some(({ from, to }) => from <= now && w.drivenAt < to);
  for (let i = 0; i < core.set.lampCount; i++)
    if (!isPlainlyRight(node, core, w, i)) broken.push(...brokenVerdict(node, core, w, now, i, hasBounced));
  return broken;
}
