import { TestKind } from '../../firmware/contract/codes';
import type { RuleProfile } from '../profiles/profile';
import type { Circuit } from '../site/model';
import { testSecOf } from '../site/settings';
import { slotNeedSec } from '../site/windows';
import type { Calendar } from './calendar';
import type { Lengths } from './nightCosts';
import type { Night } from './nights';
import type { Shortfall } from './plan';

/** A test with its first night and its retries. */
export interface PlacedTest {
  kind: TestKind;
  nights: Night[];
}

/** One circuit while its tests are being placed. */
export interface CircuitWork {
  circuit: Circuit;
  /** Place among all circuits and among those of its colour. */
  index: number;
  rank: number;
  colour: number;
  /** Its own permitted nights, in order. */
  own: Night[];
  tests: PlacedTest[];
  /** The long test of this circuit: a limited one where people are always there, else a full one. */
  longKind: TestKind.Full | TestKind.Limited;
  /** Number of the night of the last test of a kind before the plan. */
  lastBrief?: number;
  lastLong?: number;
}

/** What all placing steps share. */
export interface Placing {
  profile: RuleProfile;
  calendar: Calendar;
  circuits: number;
  fromNight: number;
  untilNight: number;
  shortfalls: Shortfall[];
  /** UTC second at or after another from which people are in the building. */
  opensAt(utcSec: number): number;
}

/** Recharge that a test of a kind needs, s. */
export function rechargeSecOf(profile: RuleProfile, kind: TestKind): number {
  return (kind === TestKind.Brief ? profile.brief : profile.full).rechargeSec.value;
}

/** How long a circuit's test of a kind takes. */
export function lengthsOf(circuit: Circuit, kind: TestKind, profile: RuleProfile): Lengths {
  const testSec = testSecOf(circuit, kind, profile);
  return { testSec, needSec: slotNeedSec(testSec), rechargeSec: rechargeSecOf(profile, kind) };
}

/** Some rules want full batteries at each opening: even the latest end of a test leaves time to recharge. */
export function isFullAtOpening(placing: Placing, kind: TestKind, night: Night): boolean {
  if (!placing.profile.fullBeforeOpening?.value) return true;
  return placing.opensAt(night.start) >= night.end + rechargeSecOf(placing.profile, kind);
}

/** Puts a chance of a test on a night if it fits and the batteries are full in time. */
export function tryNight(placing: Placing, work: CircuitWork, kind: TestKind, night: Night): boolean {
  if (!isFullAtOpening(placing, kind, night)) return false;
  const needSec = slotNeedSec(testSecOf(work.circuit, kind, placing.profile));
  return placing.calendar.tryAdd(night, { circuit: work.circuit.id, kind, needSec });
}

/** The test that has this night, if any. */
export function testOn(work: CircuitWork, night: Night): PlacedTest | undefined {
  return work.tests.find((test) => test.nights.some((n) => n.night === night.night));
}

/** Place among the circuit's own nights of the first with this number or a higher one. */
function placeFrom(work: CircuitWork, number: number): number {
  let low = 0;
  let high = work.own.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (work.own[middle].night < number) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** The circuit's own permitted nights from one number to another, both included, in order. */
export function ownBetween(work: CircuitWork, first: number, last: number): Night[] {
  return work.own.slice(placeFrom(work, first), placeFrom(work, last + 1));
}

/** The first of the circuit's own permitted nights after a number. */
export function ownAfter(work: CircuitWork, number: number): Night | undefined {
  return work.own[placeFrom(work, number + 1)];
}

/** The circuit's own permitted night before (-1) or after (1) one of them. */
export function ownBeside(work: CircuitWork, night: Night, step: -1 | 1): Night | undefined {
  return work.own[placeFrom(work, night.night) + step];
}

export function sortTests(work: CircuitWork): void {
  work.tests.sort((a, b) => a.nights[0].night - b.nights[0].night);
}
