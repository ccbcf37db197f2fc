// A test that is due and may start must start: I9 as a campaign sees it. Checked only where nothing has gone
// wrong for a while and nothing prevents the test, and with time to spare, so that no honest delay is blamed.
import { OrderKind, Phase, TestKind } from '../../firmware/contract/codes';
import { Limit } from '../../firmware/contract/limits';
import { clockErrorSec } from '../../firmware/core/clock';
import { Column } from '../../firmware/core/draft';
import { kindOf, SlotState } from '../../firmware/core/schedule';
import type { Core } from '../../firmware/core/state';
import { hoursOf, isOwnNight, limitOf } from '../checkers/rules';
import { FAULT_KINDS, type FaultKind, type FaultSpec, spanOf } from '../faults';
import type { Observer } from '../fleet';
import type { SimulatedController } from '../node';
import { isOccupied } from '../plant/circuit';
import type { Span } from '../plant/spans';
import type { Incident } from './incidents';
import { DAY_MS, START_UTC_MS } from './site';

/** A due test starts at once, or at the next retry; longer than this is too long, ms. */
const PATIENCE_MS = 600_000;
/** This close to the end of its window, beyond its own length, a test may be left to another night, ms. */
const SPARE_MS = 1_800_000;
/** How long a past event may still have an effect, ms: on the circuit, and on what the controller knows. */
const SETTLE_MS = 1_800_000;
const LATER_MS = 2 * DAY_MS;
/** Longest hold, ms. */
const HELD_MS = Limit.HoldSecMax * 1000 + SETTLE_MS;
/** Largest clock error, ms, and longest time without an answer, ms, at which a test is still expected. */
const CLOCK_MS = 5000;
const UNTOLD_MS = 250 * DAY_MS;

interface Duty {
  /** Since when nothing has prevented a due test, simulated ms; -1: something does. */
  clearSince: number;
  /** Its plan has run out. */
  isAlone: boolean;
  emptySince: number;
  openings: number;
  openedAt: number;
  /** A test run at a wrong time counts from then at the latest, simulated ms. */
  countsFrom: number;
  /** Slots that may hold a test now: start and latest start, simulated ms. */
  slots: Span[];
  /** Revision of the plan they come from, and the states of its slots. */
  noted: number;
  states: Uint8Array;
}

/** Faults that the inputs themselves show while they last. */
const SEEN: FaultKind[] = ['person at night', 'stop pressed', 'key left turned'];

/** How long the effects of a fault outlast it, ms; undefined: it prevents no test. */
function settleOf(fault: FaultSpec): number | undefined {
  const of = FAULT_KINDS[fault.kind];
  if (of === 'luminaire' || fault.kind === 'circuit charger dead' || SEEN.includes(fault.kind))
    return undefined;
  // What was tested or missed at a wrong time counts from then, until the host makes a new plan.
  if (fault.kind === 'clock jump') return LATER_MS + Math.abs(fault.jumpMs);
  return of === 'circuit' ? SETTLE_MS : LATER_MS;
}

/** When something may prevent a test on this circuit, and how much of that is the network alone. */
function troubleOf(incidents: Incident[], circuit: string) {
  const network: Span[] = [];
  const other: Span[] = [];
  for (const { at, fault, order, circuit: own } of incidents) {
    if (own !== circuit) continue;
    if (order) other.push({ from: at, to: at + (order.do === OrderKind.Hold ? HELD_MS : LATER_MS) });
    const settle = fault && settleOf(fault);
    if (!fault || settle === undefined) continue;
    const { from, to } = spanOf(fault);
    // A fault that does not last, or one that breaks something permanently.
    const isPoint = !('to' in fault) && !('repairedAt' in fault);
    const span = { from, to: (isPoint ? at + DAY_MS : to) + settle };
    (FAULT_KINDS[fault.kind] === 'network' ? network : other).push(span);
  }
  return { network, other };
}

function meets(spans: Span[], from: number, to: number): boolean {
  return spans.some((span) => span.from <= to && from < span.to);
}

function isSame(a: Uint8Array, b: Uint8Array, count: number): boolean {
  for (let i = 0; i < count; i++) if (a[i] !== b[i]) return false;
  return true;
}

/** How far a clock that is set is ahead, ms. */
function offMs(node: SimulatedController, core: Core, now: number): number {
  return core.utcBase + node.boardNow() - START_UTC_MS - now;
}

type Known = Duty & ReturnType<typeof troubleOf>;

export class Duties implements Observer {
  private readonly duties = new Map<SimulatedController, Known>();

  constructor(
    private readonly incidents: Incident[],
    /** When no host was there; it may grow. */
    private readonly absences: readonly Span[],
    private readonly openingsOf: (node: SimulatedController) => number,
    private readonly breach: (circuit: string, sentence: string) => void,
  ) {}

  private get(node: SimulatedController): Known {
    let duty = this.duties.get(node);
    if (!duty) {
      duty = {
        ...{
          clearSince: -1,
          isAlone: false,
          emptySince: 0,
          openings: 0,
          openedAt: 0,
          countsFrom: 0,
          slots: [],
        },
        ...{ noted: -1, states: new Uint8Array(Limit.PlanSlots) },
        ...troubleOf(this.incidents, node.spec.circuit),
      };
      this.duties.set(node, duty);
    }
    return duty;
  }

  after(node: SimulatedController, now: number): void {
    const duty = this.get(node);
    const core = node.controller?.core;
    const openings = this.openingsOf(node);
    const hasOpened = openings !== duty.openings || core?.phase === Phase.Opening;
    if (openings !== duty.openings) duty.openedAt = now;
    if (core && core.phase >= Phase.Opening && core.phase <= Phase.Restoring)
      duty.countsFrom = Math.max(duty.countsFrom, now + Math.abs(offMs(node, core, now)));
    duty.openings = openings;
    // What was true after the last event has been true until now: nothing has happened in between.
    if (duty.clearSince >= 0 && !hasOpened) this.checkSlots(node, duty, now);
    if (duty.clearSince >= 0 && duty.isAlone && !hasOpened) this.checkAlone(node, duty, now);
    if (isOccupied(node.plant, now)) duty.emptySince = now;
    if (!core || hasOpened || !this.isClear(node, core, now)) {
      duty.clearSince = -1;
      return;
    }
    if (duty.clearSince < 0) duty.clearSince = now;
    duty.isAlone = core.planUntil * 1000 < START_UTC_MS + now;
    // Most events change nothing here.
    if (duty.noted === core.planRevision && isSame(core.slotState, duty.states, core.slotCount)) return;
    duty.noted = core.planRevision;
    duty.states.set(core.slotState);
    this.noteSlots(node, duty, core);
  }

  /** Charged, at rest, with the right time, and nothing to prevent a test. */
  private isClear(node: SimulatedController, core: Core, now: number): boolean {
    return (
      core.phase === Phase.Charged &&
      core.clockSet === 1 &&
      Math.abs(offMs(node, core, now)) <= CLOCK_MS &&
      node.boardNow() - core.syncAt < UNTOLD_MS &&
      core.in.stop + core.in.key === 0 &&
      core.holdUntil === 0 &&
      core.doubtAt === 0
    );
  }

  /** Slots of the plan in force that the controller considers pending. */
  private noteSlots(node: SimulatedController, duty: Duty, core: Core): void {
    duty.slots = [];
    const { rules } = node.spec;
    const limitMs = (kind: TestKind) => 1000 * limitOf(rules, kind) + SPARE_MS;
    for (let k = 0; k < core.slotCount; k++) {
      const at = k * Column.Count;
      const kind: TestKind = kindOf(core, k);
      if (core.slotState[k] !== SlotState.Pending || kind === TestKind.None) continue;
      const start = core.slots[at + Column.Start];
      const end = core.slots[at + Column.End];
      const hours = kind === TestKind.Brief ? hoursOf(rules, start) : undefined;
      if (!hours && !isOwnNight(rules, start)) continue;
      const from = Math.max(start, hours?.from ?? 0) * 1000 - START_UTC_MS;
      const endSec = hours ? Math.min(end, hours.to - rules.briefRechargeSec) : end;
      const to = endSec * 1000 - START_UTC_MS - limitMs(kind);
      if (to > from) duty.slots.push({ from, to });
    }
  }

  /** Since when nothing has prevented a test, people in a shared area included. */
  private clearFrom(node: SimulatedController, duty: Known): number {
    const set = node.controller?.core.set;
    return Math.max(duty.clearSince, set?.shared ? duty.emptySince + set.emptySec * 1000 : 0);
  }

  private checkSlots(node: SimulatedController, duty: Known, now: number): void {
    const clear = this.clearFrom(node, duty);
    const core = node.controller?.core;
    // A clock that nobody has set for months keeps that much clear of both ends of a window.
    const errorMs = core ? 1000 * clockErrorSec(core, node.boardNow()) : 0;
    for (const slot of duty.slots) {
      const from = Math.max(clear, slot.from + errorMs);
      const to = Math.min(now, slot.to - errorMs);
      if (to - from < PATIENCE_MS || meets(duty.other, from, to) || meets(duty.network, from, to)) continue;
      if (this.isAlone(from, to)) continue;
      this.breach(node.spec.circuit, 'I9 a test that was due did not begin');
      return;
    }
  }

  /** Whether no host was there, or none had been there long enough to bring everything up to date. */
  private isAlone(from: number, to: number): boolean {
    return this.absences.some((span) => span.from <= to && from < span.to + LATER_MS);
  }

  /** A controller left alone for longer than the rule's interval uses its next own or shared night. */
  private checkAlone(node: SimulatedController, duty: Known, now: number): void {
    const core = node.controller?.core;
    const ageMs = ((core?.set.briefDays ?? 0) + 2) * DAY_MS;
    if (!core || now - Math.max(duty.openedAt, duty.countsFrom) < ageMs) return;
    const { fallbackFrom, fallbackSec } = core.set;
    const utc = (START_UTC_MS + now) / 1000;
    const hours = hoursOf(core.set, utc);
    const start = hours?.from ?? Math.floor((utc - fallbackFrom) / 86_400) * 86_400 + fallbackFrom;
    if (!hours && !isOwnNight(core.set, start)) return;
    const { ratedSec, briefRechargeSec } = node.spec.rules;
    const lastSec = hours
      ? hours.to - briefRechargeSec - limitOf(node.spec.rules, TestKind.Brief)
      : start + fallbackSec - ratedSec;
    const errorSec = clockErrorSec(core, node.boardNow());
    const startMs = Math.max(start + errorSec, core.planUntil) * 1000 - START_UTC_MS;
    const latest = (lastSec - errorSec) * 1000 - START_UTC_MS - SPARE_MS;
    const from = Math.max(this.clearFrom(node, duty), startMs);
    const to = Math.min(now, latest);
    if (to - from < PATIENCE_MS || meets(duty.other, from, to)) return;
    this.breach(node.spec.circuit, 'I9 the fallback schedule did not begin a test that was due');
  }
}
