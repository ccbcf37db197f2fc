// Which announced tests of a plan can stay where they are.
import { TestKind } from '../../firmware/contract/codes';
import type { Site } from '../site/model';
import type { Span } from './nights/calendar';
import { nightAt } from './nights/nights';
import { held } from './placing/attempts';
import { fitsNight } from './placing/chooseSlot';
import {
  type CircuitWork,
  isFullWhenDoorsOpen,
  lengthsOf,
  type PlacedTest,
  type Placing,
  sortTests,
} from './placing/circuitWork';
import { isSameShare, shareOf } from './placing/sharedNights';
import type { CircuitPlan, Plan, Slot } from './plan/plan';

/** A test still owed, for instance after a repair. */
export interface Owed {
  circuit: string;
  kind: TestKind;
  /** UTC second from which it may be made. */
  from: number;
}

export interface Told {
  /** The plan in force. */
  plan: Plan;
  /** UTC second. */
  now: number;
  /** By circuit, the UTC second at which its batteries are full again, e.g. after an outage. */
  fullAt?: Record<string, number>;
  owed?: Owed[];
}

/** Days after a repair by which its retest is due (common practice, no source). */
export const RETEST_DAYS = 14;
/** Nights are sought until this many days later. */
const LATEST_DAYS = 56;

/** Attempts of a plan's tests that are neither over nor done, by test, in order of time. */
function openTests(own: CircuitPlan, told: Told, work: CircuitWork): Slot[][] {
  const byTest = new Map<number, Slot[]>();
  for (const slot of own.slots) byTest.set(slot.test, [...(byTest.get(slot.test) ?? []), slot]);
  return [...byTest.values()].flatMap((slots) => {
    const last = slots[0].kind === TestKind.Brief ? work.lastBrief : work.lastLong;
    const isDone = last !== undefined && last >= nightAt(slots[0].start, own.noon);
    const open = slots.filter((slot) => slot.end > told.now && slot.kind !== TestKind.None);
    return isDone || open.length === 0 ? [] : [open];
  });
}

/** Why an announced slot cannot stay. */
export type Lost = 'share' | 'repair' | 'kind' | 'batteries' | 'date' | 'window' | 'opening' | 'caps';

/** What all slots are checked against. */
interface Keeping {
  placing: Placing;
  told: Told;
  /** By number of the night. */
  places: Map<number, number>;
  lost: Map<Span, Lost>;
}

/** The index of the night a slot lies in, or why it cannot stay. */
function placeOf(
  slot: Slot,
  own: CircuitPlan,
  work: CircuitWork,
  { placing, told, places }: Keeping,
): number | Lost {
  const { share, circuit, longKind } = work;
  if (!isSameShare(shareOf(own), share)) return 'share';
  if (slot.kind !== TestKind.Brief && slot.kind !== longKind) return 'kind';
  if (slot.start < (told.fullAt?.[circuit.id] ?? 0)) return 'batteries';
  const number = nightAt(slot.start, own.noon);
  const place = places.get(number);
  if (place === undefined) return 'date';
  const night = placing.nights[place];
  if (slot.start < night.start || slot.end > night.end) return 'window';
  if (slot.end - slot.start < lengthsOf(circuit, slot.kind, placing.profile).needSec) return 'window';
  if (!isFullWhenDoorsOpen(placing, slot.kind, slot)) return 'opening';
  return placing.calendar.fix(night, slot) ? place : 'caps';
}

/** What was announced, and what of it could not stay. */
export interface Kept {
  /** By circuit, the open attempts by test. */
  open: Map<string, Slot[][]>;
  lost: Map<Span, Lost>;
  /** By circuit, the number of its first open test. */
  firstTest: Map<string, number>;
}

/** Leaves announced tests where they are, as far as still permitted. */
export function keepTold(
  works: CircuitWork[],
  placing: Placing,
  told: Told | undefined,
  rechargeSec: number,
): Kept {
  const kept: Kept = { open: new Map(), lost: new Map(), firstTest: new Map() };
  if (!told) return kept;
  const keeping: Keeping = {
    ...{ placing, told, lost: kept.lost },
    places: new Map(placing.nights.map((night, place) => [night.night, place])),
  };
  const plans = new Map(told.plan.circuits.map((own) => [own.circuit, own]));
  for (const work of works) {
    work.notBefore = Math.max(told.now + rechargeSec, told.fullAt?.[work.circuit.id] ?? 0);
    const own = plans.get(work.circuit.id);
    if (!own) continue;
    const open = openTests(own, told, work);
    kept.open.set(own.circuit, open);
    if (open.length > 0) kept.firstTest.set(own.circuit, open[0][0].test);
    for (const slots of open) keepTest(slots, own, work, keeping);
    sortTests(work);
  }
  for (const owed of told.owed ?? []) oweAgain(works, keeping, owed);
  return kept;
}

/** Leaves those attempts of a test that may stay where they are. */
function keepTest(slots: Slot[], own: CircuitPlan, work: CircuitWork, keeping: Keeping): void {
  const places: number[] = [];
  const kept: Slot[] = [];
  for (const slot of slots) {
    const place = placeOf(slot, own, work, keeping);
    if (typeof place === 'string') keeping.lost.set(slot, place);
    else {
      places.push(place);
      kept.push(slot);
    }
  }
  if (kept.length === 0) return;
  work.tests.push({ kind: kept[0].kind, places, told: kept });
  holdNights(work, places);
  for (const place of places) work.taken.set(place, held(kept[0].kind));
}

/** Counts from a repair as if the last test lay so far back that the next is due soon. */
function oweAgain(works: CircuitWork[], keeping: Keeping, { circuit, kind, from }: Owed): void {
  const work = works.find((one) => one.circuit.id === circuit);
  if (!work) return;
  const { profile, noon } = keeping.placing;
  const due = nightAt(from, noon) + RETEST_DAYS;
  work.notBefore = Math.max(work.notBefore, from);
  if (kind === TestKind.Brief) work.lastBrief = due - profile.brief.latestDays.value;
  else {
    work.lastLong = due - profile.full.latestDays.value;
    // If there is no room in time, then as soon as there is.
    for (let by = due; by <= due + LATEST_DAYS && !makeWay(work, keeping, by); by += RETEST_DAYS);
  }
}

/**
 * If all nights up to one are taken by function tests, the first that makes room for a long one gives way:
 * the long test shows everything it would.
 * @returns whether a long test has room by then
 */
function makeWay(work: CircuitWork, { placing, lost }: Keeping, by: number): boolean {
  const soon = [...work.own].filter((place) => placing.nights[place].night <= by);
  const hasRoom = () => soon.some((place) => fitsNight(placing, work, work.longKind, place));
  const isLong = (test: PlacedTest) => test.kind === work.longKind && soon.includes(test.places[0]);
  if (hasRoom() || work.tests.some(isLong)) return true;
  for (const test of work.tests.filter(({ kind }) => kind === TestKind.Brief)) {
    const slots = test.told ?? [];
    const nights = test.places.map((place) => placing.nights[place]);
    const between = soon.filter(
      (place) => place >= test.places[0] && place <= test.places[test.places.length - 1],
    );
    for (const place of between) work.taken.delete(place);
    for (const [i, night] of nights.entries()) placing.calendar.free(night, slots[i]);
    if (hasRoom()) {
      work.tests = work.tests.filter((other) => other !== test);
      for (const place of work.own) if (place >= test.places[0]) work.taken.delete(place);
      for (const { places } of work.tests) holdNights(work, places);
      for (const slot of slots) lost.set(slot, 'repair');
      return true;
    }
    for (const [i, night] of nights.entries()) placing.calendar.fix(night, slots[i]);
    holdNights(work, test.places);
  }
  return false;
}

/** No other test comes between two attempts of one. */
function holdNights(work: CircuitWork, places: number[]): void {
  const last = places[places.length - 1];
  for (const place of work.own)
    if (place >= places[0] && place <= last) work.taken.set(place, held(TestKind.None));
}

/** Why an announced slot cannot stay, in words. */
export function lostWords(lost: Lost, site: Site): string {
  const words: Record<Lost, string> = {
    share: 'the wiring has changed and with it the nights of this circuit',
    repair: 'a longer test after a repair comes first',
    kind: 'a different long test is now planned',
    batteries: 'its batteries will not be full by then',
    date: 'tests are no longer allowed that night (testWindows, noTestDates)',
    window: 'its test window has changed',
    opening: 'batteries would not be full when the building opens',
    caps: `more than ${site.openingsAtOnce} circuits would be tested at once`,
  };
  return words[lost];
}
