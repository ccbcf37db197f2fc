// The most likely fault of a luminaire, from its results alone. All rules here are common practice, no
// source: they tell a person where to look first, and never change a verdict.
import { Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import { isTesterFault, Limit } from '../../../firmware/contract/limits';
import type { LampResult } from '../../records/result';
import { reasonSentence, testName } from '../../words/codes';
import { lengthAtMost, lengthWord } from '../../words/length';

export interface DiagnosisResult extends LampResult {
  at: number;
  kind: TestKind;
}

export interface DiagnosisInput {
  /** Newest first. */
  results: DiagnosisResult[];
  ratedSec: number;
  /** Commissioned current on battery, mA. */
  batteryMilliamps: number;
  /** True if the lamp's mode is dark on mains: what its sensor shows there is then not the lamp's current. */
  darkOnMains: boolean;
  /** What the newest result says of channels that move together (crossTalk.ts), '' if nothing. */
  crossTalk: string;
  /**
   * Times at which the circuit drew no charging current after a test, newest first; empty if no sensor is
   * fitted.
   */
  noCharge: { at: number; milliamps: number }[];
  /** Date of a UTC second in the reader's form. */
  dateOf(utcSec: number): string;
}

/** Below this share of the rated duration it counts as "went out at once". */
const SCARCELY = 0.1;
/** A zero offset above this share of the commissioned current means that the sensor has drifted. */
const WANDERED = 0.1;
/** A lamp never takes this far above its commissioned current. */
const EXCESS = 0.3;
/** Lit this few times after its last emptying discharge, a battery was most likely never charged again. */
const LIT_ON_THE_REST = 1;

/** By what was found then: the commissioned current may be another one since. */
function wasDark({ reason }: DiagnosisResult): boolean {
  return reason === Reason.NotLitAtFiveSeconds || reason === Reason.AllDark;
}

function isLit(input: DiagnosisInput, r: DiagnosisResult): boolean {
  return !wasDark(r) && r.milliampsAt5 >= input.batteryMilliamps * 0.5;
}

function isJudged(r: DiagnosisResult): boolean {
  return r.verdict === Verdict.Pass || r.verdict === Verdict.Fail;
}

/** Whether it failed although its sensor read that much on mains: then the lamp glowed, as an offset makes void. */
function hasGlowed(input: DiagnosisInput, r: DiagnosisResult): boolean {
  const most = input.batteryMilliamps * Limit.OffsetPercent;
  return input.darkOnMains && r.verdict === Verdict.Fail && r.onMainsMilliamps * 100 > most;
}

/** Current from the sensor alone, mA: seen with the lamp dark, or beyond what the lamp takes. */
function strayMilliamps(input: DiagnosisInput, r: DiagnosisResult): number {
  if (input.darkOnMains && r.onMainsMilliamps !== 0 && r.reason !== Reason.LitOnMains && !hasGlowed(input, r))
    return r.onMainsMilliamps;
  const beyond = r.milliampsAt5 - input.batteryMilliamps;
  return r.reason === Reason.SensorOffset || beyond > input.batteryMilliamps * EXCESS ? beyond : 0;
}

function sensorDrift(input: DiagnosisInput, latest: DiagnosisResult): string {
  // A sensor stuck at one value has not drifted: its reading means nothing.
  if (latest.reason === Reason.SensorStuck) return '';
  const limit = input.batteryMilliamps * WANDERED;
  const stray = strayMilliamps(input, latest);
  if (latest.reason !== Reason.SensorOffset && Math.abs(stray) < limit) return '';
  const earlier = input.results.find((r) => Math.abs(strayMilliamps(input, r)) < limit);
  const since = earlier ? `, and ${strayMilliamps(input, earlier)} mA on ${input.dateOf(earlier.at)}` : '';
  return (
    `The current sensor has most likely drifted: it read ${stray} mA that no lamp draws on ` +
    `${input.dateOf(latest.at)}${since}. Check sensor and wiring before the luminaire.`
  );
}

/** Its current is that of another supply, or not its own alone. */
function otherSource(input: DiagnosisInput, latest: DiagnosisResult): string {
  const on = input.dateOf(latest.at);
  const commissioned = `${input.batteryMilliamps} mA commissioned on battery`;
  if (latest.reason === Reason.StayedOnMains)
    return (
      `Most likely a second supply from another circuit: on ${on} it drew ${latest.onMainsMilliamps} mA before ` +
      `the supply was cut and ${latest.milliampsAt60} mA 60 s after, with ${commissioned}. Its battery was not ` +
      'tested. Prove dead before you touch it: it may be live with its own circuit off. Then find what else feeds ' +
      'it, and disconnect that.'
    );
  if (latest.reason !== Reason.TooMuchCurrent) return '';
  return (
    `Most likely a second lamp on its sensor, or a wrong commissioned current: on ${on} it read ` +
    `${latest.milliampsAt60} mA at 60 s and ${latest.milliampsEnd} mA at the end, with ${commissioned}. ` +
    'Follow the wires through the sensor first: one lamp may hide that another is dark. With one lamp on it, ' +
    'measure that on battery, and correct the site file or replace the sensor.'
  );
}

/** What to look for besides, at a lamp that should be dark on mains and was not quite. */
function glow(input: DiagnosisInput, failure: DiagnosisResult): string {
  if (!hasGlowed(input, failure)) return '';
  return ` It also glowed on mains, with ${failure.onMainsMilliamps} mA: look for leakage or a wrong connection.`;
}

/** Tester or sensor: what made the last test void for this luminaire. */
function tester(input: DiagnosisInput, latest: DiagnosisResult): string {
  if (!isTesterFault(latest.reason)) return '';
  const on = input.dateOf(latest.at);
  if (latest.reason === Reason.SensorStuck)
    return (
      `Most likely the current sensor: on ${on} it stuck at ${latest.onMainsMilliamps} mA from mains to ` +
      `battery and read ${latest.milliampsAt60} mA at 60 s. There is no proof that the lamp was lit.`
    );
  if (latest.reason === Reason.SensorRange)
    return `Most likely the current sensor, its wiring or the multiplexer: it read out of range on ${on}.`;
  return `Most likely the tester, not the luminaire. On ${on}: ${reasonSentence(latest.reason)}`;
}

/** Says that the circuit drew no charging current between two instants, if that was measured. */
function withoutCharge(input: DiagnosisInput, from: number, to: number): string {
  const found = input.noCharge.find(({ at }) => at >= from && at <= to);
  if (!found) return '';
  return ` The circuit drew ${found.milliamps} mA of charging current after the test of ${input.dateOf(found.at)}.`;
}

/** The last discharge that emptied the battery, if the lamp hardly lit afterwards; else undefined. */
function emptying(litOnes: DiagnosisResult[]): DiagnosisResult | undefined {
  const place = litOnes.findIndex((r) => r.kind === TestKind.Full || r.reason === Reason.EndedEarly);
  return place >= 0 && place <= LIT_ON_THE_REST ? litOnes[place] : undefined;
}

/** Function tests that a luminaire has passed since the failure it is blamed for: too short to disprove it. */
function litSince(input: DiagnosisInput, failure: DiagnosisResult): string {
  const lit = input.results.filter((r) => r.at > failure.at && r.verdict === Verdict.Pass);
  if (lit.length === 0) return '';
  const tests = lit.length === 1 ? 'a function test' : `${lit.length} function tests`;
  const last = `${lit.length === 1 ? '' : 'the last '}on ${input.dateOf(lit[0].at)}`;
  return ` Against that: it has passed ${tests} since, ${last}`;
}

/** The same after a duration test that ended early. */
function tooShort(input: DiagnosisInput, failure: DiagnosisResult): string {
  const since = litSince(input, failure);
  return since && `${since}; only a duration test can show that it lasts again.`;
}

/** Dark now: was it lit before, and was the battery emptied not long before it went dark? */
function darkNow(input: DiagnosisInput, latest: DiagnosisResult): string {
  const since = litSince(input, latest);
  if (since !== '')
    return (
      'Most likely a loose contact, or a battery that was not charged: not lit at 5 s in the ' +
      `${testName(latest.kind)} of ${input.dateOf(latest.at)} (${latest.milliampsAt5} of ` +
      `${input.batteryMilliamps} mA).${since}, so its lamp works.`
    );
  // By their order in the log book: two records may give the same time.
  const before = input.results.slice(input.results.indexOf(latest) + 1).filter(isJudged);
  const litOnes = before.filter((r) => isLit(input, r));
  const lit = litOnes[0];
  const emptied = emptying(litOnes);
  if (emptied) {
    const dark = [latest, ...before.slice(0, before.indexOf(lit))];
    return (
      `Most likely the charger, or a battery that no longer takes charge: on ${input.dateOf(emptied.at)} ` +
      `the lamp was lit for ${lengthAtMost(emptied.litSec)}, which emptied the battery, and since ` +
      `${input.dateOf(dark[dark.length - 1].at)} it has stayed dark although it had time to recharge. ` +
      'A lamp that failed at that time would look the same.' +
      withoutCharge(input, emptied.at, latest.at)
    );
  }
  const lastLit = lit
    ? `it was last lit on ${input.dateOf(lit.at)}`
    : 'it has not been lit in any test on record';
  return (
    'Most likely a dead lamp, or a battery that is dead, disconnected or not charged: not lit at 5 s on ' +
    `${input.dateOf(latest.at)} (${latest.milliampsAt5} of ${input.batteryMilliamps} mA), and ${lastLit}.`
  );
}

function shortNow(input: DiagnosisInput, latest: DiagnosisResult): string {
  const lasted = `${lengthAtMost(latest.litSec)} of ${lengthWord(input.ratedSec)}`;
  const fullBefore = input.results.find(
    (r) => r.at < latest.at && r.kind === TestKind.Full && r.litSec > latest.litSec && isJudged(r),
  );
  if (latest.litSec < input.ratedSec * SCARCELY) {
    const since = fullBefore?.at ?? 0;
    const lit = input.results.filter(
      (r) => r.kind === TestKind.Brief && r.verdict === Verdict.Pass && r.at > since && r.at < latest.at,
    ).length;
    // The energy for those tests must have come from the charger.
    if (lit > LIT_ON_THE_REST && fullBefore)
      return (
        `Most likely a battery with a shorted cell: it takes charge, as it lit in ${lit} function tests since ` +
        `${input.dateOf(since)}, but it lasted only ${lasted} on ${input.dateOf(latest.at)} ` +
        `(${latest.milliampsAt60} of ${input.batteryMilliamps} mA at 60 s).`
      );
    const before = fullBefore
      ? `on ${input.dateOf(fullBefore.at)} it still lasted ${lengthAtMost(fullBefore.litSec)}, but ` +
        'after time to recharge it '
      : 'it ';
    const evidence = withoutCharge(input, since, latest.at);
    return `Most likely the charger: ${before}lasted only ${lasted} on ${input.dateOf(latest.at)}.${evidence}`;
  }
  const before = fullBefore
    ? ` On ${input.dateOf(fullBefore.at)} it had lasted ${lengthAtMost(fullBefore.litSec)}.`
    : '';
  return `Most likely an aged battery: it lasted ${lasted} on ${input.dateOf(latest.at)}.${before}`;
}

/** Lit and not lit by turns: from soon after the start, or only once the battery had given most of what it has. */
function flickering(input: DiagnosisInput, failure: DiagnosisResult): string {
  const isLate = failure.kind !== TestKind.Brief && failure.litSec >= input.ratedSec * SCARCELY;
  const cause = isLate
    ? `an aged battery that its driver cuts off and on again: the lamp flickered from ${lengthAtMost(failure.litSec)} ` +
      `of ${lengthWord(input.ratedSec)} on`
    : 'a loose contact or the driver: the lamp flickered';
  const since = litSince(input, failure);
  return (
    `Most likely ${cause} in the ${testName(failure.kind)} of ${input.dateOf(failure.at)}, with ` +
    `${failure.milliampsAt5} mA at 5 s, ${failure.milliampsAt60} mA at 60 s and ${failure.milliampsEnd} mA at the ` +
    `end, of ${input.batteryMilliamps} mA. Look first for what is loose at the battery's plug, the terminals and ` +
    `the lamp; if nothing is, replace the ${isLate ? 'battery' : 'driver'}.` +
    (since && `${since}, but a loose contact comes and goes.`)
  );
}

/** The failure that still applies: the newest, unless a test that can disprove it has passed since. */
function failureInForce(results: DiagnosisResult[]): DiagnosisResult | undefined {
  let passedFull = false;
  let passedBrief = false;
  for (const r of results) {
    const disproved = passedFull || (passedBrief && r.kind === TestKind.Brief);
    if (r.verdict === Verdict.Fail && !disproved) return r;
    if (r.verdict !== Verdict.Pass) continue;
    if (r.kind === TestKind.Full) passedFull = true;
    else passedBrief = true;
  }
  return undefined;
}

/** Most likely fault and the evidence for it, in plain words; '' if nothing is wrong. */
export function diagnose(input: DiagnosisInput): string {
  const latest = input.results[0];
  if (!latest) return '';
  if (input.crossTalk !== '') return input.crossTalk;
  const early = otherSource(input, latest) || sensorDrift(input, latest);
  if (early !== '') return early;
  const failure = failureInForce(input.results);
  if (!failure) return latest.verdict === Verdict.Void ? tester(input, latest) : '';
  switch (failure.reason) {
    case Reason.NotLitAtFiveSeconds:
    case Reason.AllDark:
      return darkNow(input, failure) + glow(input, failure);
    case Reason.EndedEarly:
      return shortNow(input, failure) + tooShort(input, failure) + glow(input, failure);
    case Reason.Flickers:
      return flickering(input, failure) + glow(input, failure);
    case Reason.SlowStart:
    case Reason.NotFullAtSixtySeconds:
      return (
        'Most likely the lamp or its driver: it reached ' +
        `${failure.milliampsAt5} mA at 5 s and ${failure.milliampsAt60} mA at 60 s of ` +
        `${input.batteryMilliamps} mA commissioned on ${input.dateOf(failure.at)}.` +
        tooShort(input, failure)
      );
    case Reason.LitOnMains:
    case Reason.DarkOnMains:
      return (
        'Most likely the switched live or the commissioned mode: the lamp was ' +
        `${failure.reason === Reason.LitOnMains ? 'lit' : 'dark'} on mains on ${input.dateOf(failure.at)}.`
      );
    default:
      return tester(input, failure);
  }
}
