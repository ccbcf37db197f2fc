import { TestKind } from '../../../firmware/contract/codes';
import type { MoreTests } from '../../profiles/more';
import type { RuleProfile } from '../../profiles/profile';
import type { Circuit } from '../../site/model';
import { testSecOf } from '../../site/settings';
import type { Place } from '../../site/sun';
import { slotNeedSec } from '../../site/windows';
import type { Burden } from '../cost/exposure';
import type { Lengths, Starts } from '../cost/starts';
import type { Calendar, Span } from '../nights/calendar';
import type { Night } from '../nights/nights';
import type { Shortfall } from '../plan/plan';
import type { Attempts } from './attempts';
import type { Prices } from './prices';

/** A test with its first night and its retries, as indexes among the permitted nights. */
export interface PlacedTest {
  kind: TestKind;
  places: number[];
  /** It comes on top of those that the rule asks for. */
  more?: true;
  /** Announced slots of its attempts, which stay as they are. */
  told?: Span[];
}

/**
 * Nights that neighbours share for function tests (I7): (night - residue) mod cycle = 0. Each discharges and
 * recharges within hours of its own: `from`, second of the UTC day, for `sec` seconds.
 */
export interface SharedNights {
  cycle: number;
  residue: number;
  from: number;
  sec: number;
}

/** A circuit's own nights, one in every cycle (I7), and those it shares with neighbours. */
export interface Share {
  cycle: number;
  residue: number;
  shared?: SharedNights;
}

/** One circuit while its tests are being placed. */
export interface CircuitWork {
  circuit: Circuit;
  /** Index among all circuits. */
  index: number;
  share: Share;
  /** Index among the circuits that may share a night with it, and their number. */
  rank: number;
  ranks: number;
  /** Indexes of the permitted nights that are its own or shared, in order, and their numbers. */
  own: Int32Array;
  at: Int32Array;
  /** By index of a night that is only shared, its own hours, UTC seconds. */
  hoursAt: ReadonlyMap<number, Span>;
  /** In order of time. */
  tests: PlacedTest[];
  taken: Attempts;
  /** The long test of this circuit: a limited one where people are always present, otherwise a full one. */
  longKind: TestKind.Full | TestKind.Limited;
  burden: Burden;
  /** UTC second before which it gets no new test. */
  notBefore: number;
  /** Number of the night of the last test of a kind before the plan. */
  lastBrief?: number;
  lastLong?: number;
}

/** What all placing steps share. */
export interface Placing {
  profile: RuleProfile;
  /** All permitted nights, in order. */
  nights: Night[];
  calendar: Calendar;
  /** Most circuits discharged at the same time. */
  atOnce: number;
  /** Nights from a longer test to the first on which the circuit itself or a neighbour may be tested. */
  spacing: number;
  starts: Starts;
  prices: Prices;
  circuits: number;
  /** Second of the UTC day at which a night number changes. */
  noon: number;
  fromNight: number;
  untilNight: number;
  /** A plan is in force already. */
  isAnew: boolean;
  shortfalls: Shortfall[];
  /** UTC second at or after another from which people are in the building. */
  opensAt(utcSec: number): number;
  /** Tests are wanted on top of those that the rule asks for. */
  more?: MoreTests;
  /** Location for the position of the sun, if the site file gives one. */
  location?: Place;
}

/** Recharge that a test of a kind needs, s. */
export function rechargeSecOf(profile: RuleProfile, kind: TestKind): number {
  return (kind === TestKind.Brief ? profile.brief : profile.full).rechargeSec.value;
}

interface LengthsKnown {
  circuit: Circuit;
  profile: RuleProfile;
  byKind: Lengths[];
}

const lengthsKnown = new WeakMap<Circuit, LengthsKnown>();
/** Most questions in turn are about one circuit. */
let lastAsked: LengthsKnown | undefined;

/** How long a circuit's test of a kind takes. */
export function lengthsOf(circuit: Circuit, kind: TestKind, profile: RuleProfile): Lengths {
  if (circuit !== lastAsked?.circuit || profile !== lastAsked.profile) {
    let known = lengthsKnown.get(circuit);
    if (known?.profile !== profile) {
      known = { circuit, profile, byKind: [] };
      lengthsKnown.set(circuit, known);
    }
    lastAsked = known;
  }
  lastAsked.byKind[kind] ??= calculateLengths(circuit, kind, profile);
  return lastAsked.byKind[kind];
}

function calculateLengths(circuit: Circuit, kind: TestKind, profile: RuleProfile): Lengths {
  const testSec = testSecOf(circuit, kind, profile);
  return { testSec, needSec: slotNeedSec(testSec), rechargeSec: rechargeSecOf(profile, kind) };
}

/** Some rules require full batteries whenever the building opens: even the latest end leaves time to recharge. */
export function isFullWhenDoorsOpen(placing: Placing, kind: TestKind, { start, end }: Span): boolean {
  if (!placing.profile.fullBeforeOpening?.value) return true;
  return placing.opensAt(start) >= end + rechargeSecOf(placing.profile, kind);
}

/** 1 at the own nights where a test of a kind has been announced, by its first attempt; undefined where none has. */
export function toldAt(work: CircuitWork, kind: TestKind): Uint8Array | undefined {
  const told = work.tests.filter((test) => test.told && test.kind === kind);
  if (told.length === 0) return undefined;
  const places = new Set(told.map((test) => test.places[0]));
  return Uint8Array.from(work.own, (place) => (places.has(place) ? 1 : 0));
}

export function sortTests(work: CircuitWork): void {
  work.tests.sort((a, b) => a.places[0] - b.places[0]);
}

/** Number of the night of a test's first attempt. */
export function firstNight(placing: Placing, test: PlacedTest): number {
  return placing.nights[test.places[0]].night;
}
