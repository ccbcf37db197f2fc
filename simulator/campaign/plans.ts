// Plans of one circuit over the years of a run: function and longer tests on its own nights, with several
// nights for each, in versions that a host hands out in time. Now and then a window for someone on site.
import { TestKind } from '../../firmware/contract/codes';
import { Limit, WIRE_VERSION } from '../../firmware/contract/limits';
import type { PlanMessage, SettingsMessage } from '../../firmware/contract/messages';
import { type PlanSlot, slotsText } from '../../firmware/contract/plan';
import { isOwnNight } from '../checkers/rules';
import type { Random } from '../random';
import { chance, whole } from './draw';
import type { CampaignRules } from './rules';

const DAY_SEC = 86_400;
/** Share of a plan's span after which the next plan is handed out. */
const RENEWED_AFTER = 0.7;
/** Share of circuits whose host stops planning on some day. */
const SILENT = 0.3;

/** A circuit's nights and the permitted window in each, s after the preceding noon. */
export interface NightShare {
  cycle: number;
  residue: number;
  /** Second of the UTC day at which the night number changes. */
  noon: number;
  from: number;
  to: number;
  shared?: SharedShare;
}

/** Nights shared with neighbours, and own hours in them, s after the preceding noon. */
export interface SharedShare {
  cycle: number;
  residue: number;
  from: number;
  to: number;
}

export interface PlanVersion {
  /** From when the host hands it out, simulated ms. */
  from: number;
  message: PlanMessage;
  slots: PlanSlot[];
}

export interface PlannedTest {
  kind: TestKind;
  /** First window, simulated ms. */
  from: number;
  to: number;
}

export interface CircuitPlans {
  plans: PlanVersion[];
  tests: PlannedTest[];
  /** Every window of every plan, UTC s. */
  windows: { start: number; end: number }[];
}

interface Slot extends Omit<PlanSlot, 'test'> {
  /** It falls on a time that is not this circuit's. */
  isForeign?: boolean;
}

/** All slots of one test, under one number. */
type Test = Slot[];

function ownNightFrom(share: NightShare, utcSec: number): number {
  let night = Math.ceil((utcSec - share.noon) / DAY_SEC);
  while (!isOwnNight(share, night * DAY_SEC + share.noon)) night++;
  return night;
}

function slotOn(share: NightShare, night: number, kind: TestKind): Slot {
  const noon = night * DAY_SEC + share.noon;
  // Someone may be on site in the afternoon; nothing is planned then.
  if (kind === TestKind.None) return { kind, start: noon + 3600, end: noon + 5 * 3600 };
  return { kind, start: noon + share.from, end: noon + share.to };
}

/** Nights and hours of a circuit where it may make function tests only. */
function sharedOf(share: NightShare): NightShare | undefined {
  return share.shared && { noon: share.noon, ...share.shared };
}

/**
 * A host's mistake: a time that belongs to a neighbour, before the first night of a test. The controller must refuse
 * it on its own.
 */
function mistaken(r: Random, share: NightShare, first: Slot, atSec: number): Slot | undefined {
  const of = sharedOf(share);
  const night = of && ownNightFrom(of, atSec);
  // The hours before its own in a shared night, or these for more than a function test.
  if (of && night !== undefined && chance(r, 0.15)) {
    const own = slotOn(of, night, first.kind);
    const slot = first.kind === TestKind.Brief ? { ...own, start: own.start - of.from, end: own.start } : own;
    return slot.end <= first.start ? slot : undefined;
  }
  const isOthers = share.cycle > 1 && chance(r, 0.1) && isOwnNight(share, first.start);
  return isOthers ? { ...first, start: first.start - DAY_SEC, end: first.end - DAY_SEC } : undefined;
}

/** Everything due on this circuit, oldest first. */
function dueTests(
  r: Random,
  rules: CampaignRules,
  settings: SettingsMessage,
  share: NightShare,
  startSec: number,
  days: number,
): Test[] {
  const tests: Test[] = [];
  const long = settings.limited ? TestKind.Limited : TestKind.Full;
  let longAt = startSec + DAY_SEC * whole(r, 4, Math.min(rules.fullDays, 120));
  const retries = rules.briefDays < 14 ? 1 : whole(r, 1, 2);
  const first = ownNightFrom(share, startSec + 2 * DAY_SEC);
  if (rules.commissionSec > 0 || chance(r, 0.3)) tests.push([slotOn(share, first, TestKind.None)]);
  let at = (first + share.cycle) * DAY_SEC + DAY_SEC * whole(r, 0, Math.min(rules.briefDays, 20));
  while (at < startSec + DAY_SEC * days) {
    const isLong = at >= longAt;
    if (isLong) longAt += rules.fullDays * DAY_SEC;
    const of = (!isLong && share.shared && chance(r, 0.5) && sharedOf(share)) || share;
    const night = ownNightFrom(of, at);
    const slots: Test = [];
    for (let k = 0; k <= retries; k++)
      slots.push(slotOn(of, night + k * of.cycle, isLong ? long : TestKind.Brief));
    const wrong = mistaken(r, share, slots[0], at);
    if (wrong) slots.unshift({ ...wrong, isForeign: true });
    tests.push(slots);
    const after = ownNightFrom(share, (night + retries * of.cycle + 1) * DAY_SEC + share.noon);
    if (chance(r, 0.1)) tests.push([slotOn(share, after, TestKind.None)]);
    at = Math.max(at + rules.briefDays * DAY_SEC, (after + share.cycle) * DAY_SEC + share.noon);
  }
  return tests;
}

/** A host that falls silent for good has planned only the first of the due tests. */
function plannedOf(r: Random, tests: Test[]): Test[] {
  return tests.length > 0 && chance(r, SILENT) ? tests.slice(0, whole(r, 1, tests.length)) : tests;
}

/**
 * Roughly when a circuit on its own tests, by the fallback schedule: on its first own or shared night after the plan
 * on which a test is old enough. Now and then someone visits on a night without a test.
 */
function leftAlone(
  r: Random,
  settings: SettingsMessage,
  share: NightShare,
  planned: Test[],
  untilSec: number,
  endSec: number,
): Test[] {
  const nightOf = (slots: Test) => Math.floor((slots[0].start - share.noon) / DAY_SEC);
  const real = planned.filter((slots) => slots[0].kind !== TestKind.None);
  const long = settings.limited ? TestKind.Limited : TestKind.Full;
  let brief = Math.max(0, ...real.map(nightOf));
  let full = Math.max(0, ...real.filter((slots) => slots.some(({ kind }) => kind === long)).map(nightOf));
  const tests: Test[] = [];
  for (let night = Math.ceil((untilSec - share.noon) / DAY_SEC); night * DAY_SEC < endSec; night++) {
    const noon = night * DAY_SEC + share.noon;
    const isOwn = isOwnNight(share, noon);
    const of = isOwn ? share : sharedOf(share);
    if (!of || !isOwnNight(of, noon)) continue;
    const isFull = isOwn && night - full >= settings.fullDays;
    const isBrief = !isFull && night - brief >= settings.briefDays;
    if (!isFull && !isBrief && !(isOwn && chance(r, 0.02))) continue;
    if (isFull) full = night;
    if (isFull || isBrief) brief = night;
    const kind = isFull ? long : isBrief ? TestKind.Brief : TestKind.None;
    tests.push([{ ...slotOn(of, night, TestKind.Brief), kind }]);
  }
  return tests;
}

/** The slots of these tests as one plan numbers them. */
function numbered(tests: Test[]): PlanSlot[] {
  return tests.flatMap((test, i) => test.map(({ kind, start, end }) => ({ test: i + 1, kind, start, end })));
}

/**
 * Cuts the tests into plans small enough for a controller, each handed out before the previous one expires.
 */
function versions(tests: Test[], startSec: number): PlanVersion[] {
  const plans: PlanVersion[] = [];
  let first = 0;
  let fromSec = startSec;
  while (first < tests.length) {
    const held: Test[] = [];
    let rows = 0;
    for (let i = first; i < tests.length && rows + tests[i].length <= Limit.PlanSlots; i++) {
      if (tests[i][0].start > fromSec + 400 * DAY_SEC) break;
      held.push(tests[i]);
      rows += tests[i].length;
    }
    if (held.length === 0) break;
    const last = held[held.length - 1];
    const until = last[last.length - 1].end;
    const slots = numbered(held);
    plans.push({
      from: (fromSec - startSec) * 1000,
      message: { v: WIRE_VERSION, revision: plans.length + 1, until, slots: slotsText(slots) },
      slots,
    });
    const kept = Math.max(1, Math.floor(held.length * RENEWED_AFTER));
    first += first + held.length >= tests.length ? held.length : kept;
    if (first < tests.length) {
      // Between the last night of one test and the first night of the next.
      const before = tests[first - 1];
      fromSec = before[before.length - 1].end;
    }
  }
  return plans;
}

/**
 * Plans a circuit for this many days.
 * @param startSec UTC second of the start
 */
export function planCircuit(
  r: Random,
  rules: CampaignRules,
  settings: SettingsMessage,
  share: NightShare,
  days: number,
  startSec: number,
): CircuitPlans {
  const endSec = startSec + DAY_SEC * days;
  const planned = plannedOf(r, dueTests(r, rules, settings, share, startSec, days));
  const plans = versions(planned, startSec);
  const untilSec = plans[plans.length - 1]?.message.until ?? startSec;
  const alone = leftAlone(r, settings, share, planned, untilSec, endSec);
  const simulated = (utcSec: number) => (utcSec - startSec) * 1000;
  const own = planned.map((slots) => slots.filter(({ isForeign }) => !isForeign));
  return {
    plans,
    tests: [...own, ...alone].map(([{ kind, start, end }]) => ({
      kind,
      from: simulated(start),
      to: simulated(end),
    })),
    windows: own.flatMap((slots) => slots.map(({ start, end }) => ({ start, end }))),
  };
}
