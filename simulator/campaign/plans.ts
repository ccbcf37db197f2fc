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
  /** It falls on a night that is not this circuit's. */
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
    const night = ownNightFrom(share, at);
    const slots: Test = [];
    for (let k = 0; k <= retries; k++)
      slots.push(slotOn(share, night + k * share.cycle, isLong ? long : TestKind.Brief));
    // A host's mistake: a night that belongs to a neighbour. The controller must refuse it on its own.
    if (share.cycle > 1 && chance(r, 0.1))
      slots.unshift({ ...slotOn(share, night - 1, slots[0].kind), isForeign: true });
    tests.push(slots);
    const after = night + (retries + 1) * share.cycle;
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
 * Roughly when a circuit on its own tests, by the fallback schedule: on its first own night after the plan on
 * which a test is old enough. Now and then someone visits on a night without a test.
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
  for (let night = ownNightFrom(share, untilSec); night * DAY_SEC < endSec; night += share.cycle) {
    const isFull = night - full >= settings.fullDays;
    const isBrief = !isFull && night - brief >= settings.briefDays;
    if (!isFull && !isBrief && !chance(r, 0.02)) continue;
    if (isFull) full = night;
    if (isFull || isBrief) brief = night;
    const kind = isFull ? long : isBrief ? TestKind.Brief : TestKind.None;
    tests.push([{ ...slotOn(share, night, TestKind.Brief), kind }]);
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
