// Everything the page knows, and how each message changes it. Pure: the link does the fetching.
import type { SessionView } from '../../api/accounts';
import type { BuildingsView } from '../../api/buildings';
import type { DutiesView } from '../../api/duties';
import type { BuildingView, ControllerStatus, LiveReading, StatusView } from '../../api/views';
import type { Tongue } from '../tongues/names';
import type { Followed } from '../words/progress';
import { isTesting } from '../words/tone';
import { EMPTY_OUTBOX, type OutboxState } from './outbox';
import type { SiteDraft } from './siteDraft';
import { extendTrace, type Trace } from './trace';

export interface SiteClock {
  /** UTC second of the site at `atMs`. */
  now: number;
  /** Site seconds per real second. */
  speed: number;
  /** Reading of this browser's own steady clock, ms. */
  atMs: number;
  /** No earlier time is shown: what was shown before, or minus infinity. */
  least: number;
}

export interface PageState {
  /** All buildings, on the page of several. */
  overview: BuildingsView | null;
  building: BuildingView | null;
  status: StatusView | null;
  clock: SiteClock | null;
  /** Live curve of each circuit under test. */
  traces: Record<string, Trace>;
  /** Whether the stream is up, and when the host was last heard (steady clock, ms). */
  linkUp: boolean;
  heardMs: number;
  /** Why nothing can be shown yet, '' when there is something. */
  problem: string;
  /** Rises when there may be log book entries not yet fetched. */
  entriesHeard: number;
  /** The last order sent from this page, with its answer. */
  outcome: Followed | null;
  /** When the supply of each circuit was last ordered back from this page, ms of the steady clock. */
  restoredMs: Record<string, number>;
  /** Name last used under an order, offered again. */
  orderedBy: string;
  /** What people must look at; null before the first answer. */
  duties: DutiesView | null;
  /** True if the last question about them had no answer. */
  dutiesFailed: boolean;
  /** Rises when duties or findings may have changed. */
  dutiesHeard: number;
  /** What was entered here and the log book may not have yet. */
  outbox: OutboxState;
  /** Changes of the site that are kept until others make them whole. */
  siteDraft: SiteDraft | null;
  /** What the host answered to the last change of the site, and whether it is taking it over. */
  siteSaid: { answer: string; isWaiting: boolean } | null;
  /** Site time less this device's own clock when the host was last heard, s. */
  phoneOff: number;
  /** Who is signed in; null before the first answer. */
  session: SessionView | null;
  /** True if somebody was signed in here and has to sign in again. */
  sessionEnded: boolean;
  /** Circuit whose supply somebody wanted to restore when the session had ended; '' if none. */
  owedRestore: string;
  /** The language of the page. */
  tongue: Tongue;
}

export const EMPTY_STATE: PageState = {
  overview: null,
  building: null,
  status: null,
  clock: null,
  traces: {},
  linkUp: true,
  heardMs: 0,
  problem: '',
  entriesHeard: 0,
  outcome: null,
  restoredMs: {},
  orderedBy: '',
  duties: null,
  dutiesFailed: false,
  dutiesHeard: 0,
  outbox: EMPTY_OUTBOX,
  siteDraft: null,
  siteSaid: null,
  phoneOff: 0,
  session: null,
  sessionEnded: false,
  owedRestore: '',
  tongue: 'en',
};

/** Fastest simulation whose time runs on between two messages: of a faster one it would run far ahead when that slows down. */
const RUNS_ON = 60;
/** Age at which a message about the time may still arrive, real s. */
const LATE_SEC = 10;

/** Site time at `nowMs` of the steady clock; it stops while the stream is down. */
export function siteNow(state: PageState, nowMs: number): number {
  const clock = state.clock;
  if (!clock) return 0;
  const until = state.linkUp ? nowMs : Math.min(nowMs, Math.max(state.heardMs, clock.atMs));
  const speed = clock.speed > RUNS_ON ? 0 : clock.speed;
  return Math.max(clock.least, clock.now + (Math.max(0, until - clock.atMs) / 1000) * speed);
}

/** Simulated time never runs backwards, unless another simulation has begun; a building's clock may be set. */
function clockOf(state: PageState, { now, speed }: { now: number; speed: number }, nowMs: number): SiteClock {
  const shown = siteNow(state, nowMs);
  const fastest = Math.max(speed, state.clock?.speed ?? 1);
  const isLate = fastest > 1 && shown > now && shown - now < LATE_SEC * fastest;
  return { now, speed, atMs: nowMs, least: isLate ? shown : Number.NEGATIVE_INFINITY };
}

/** A whole status as fetched. */
export function withStatus(state: PageState, status: StatusView, nowMs: number): PageState {
  const clock = clockOf(state, status, nowMs);
  let next: PageState = { ...state, status, clock, problem: '' };
  for (const controller of status.controllers) if (controller.live) next = withLive(next, controller.live);
  return next;
}

/** A status without a reading does not remove the reading of a test still running. */
function keepLive(old: ControllerStatus, fresh: ControllerStatus): ControllerStatus {
  const sameTest = old.live?.kind === fresh.kind && old.since === fresh.since;
  return fresh.live || !sameTest ? fresh : { ...fresh, live: old.live };
}

/** One controller's status as pushed; an unknown controller is added. */
export function withController(state: PageState, controller: ControllerStatus): PageState {
  if (!state.status) return state;
  const old = state.status.controllers;
  const known = old.some((c) => c.circuit === controller.circuit);
  const controllers = known
    ? old.map((c) => (c.circuit === controller.circuit ? keepLive(c, controller) : c))
    : [...old, controller];
  const next = { ...state, status: { ...state.status, controllers } };
  return controller.live ? withLive(next, controller.live) : next;
}

/** One live reading: it becomes the newest of its circuit, and a point on its curve. */
export function withLive(state: PageState, live: LiveReading): PageState {
  const traces = { ...state.traces, [live.circuit]: extendTrace(state.traces[live.circuit], live) };
  if (!state.status) return { ...state, traces };
  const controllers = state.status.controllers.map((c) => (c.circuit === live.circuit ? { ...c, live } : c));
  return { ...state, traces, status: { ...state.status, controllers } };
}

/** Site time as pushed. */
export function withClock(state: PageState, clock: { now: number; speed: number }, nowMs: number): PageState {
  return { ...state, clock: clockOf(state, clock, nowMs) };
}

/** No second press is needed so soon after the first; later the button works again, for an order that was lost, ms. */
export const REPEAT_MS = 4_000;
/** A circuit is still shown among the running tests for so long after its supply was ordered back, ms. */
export const STAY_MS = 10_000;

/** Somebody has ordered the supply of a circuit back. */
export function withPress(state: PageState, circuit: string, nowMs: number): PageState {
  return { ...state, restoredMs: { ...state.restoredMs, [circuit]: nowMs } };
}

/** True if the supply of a circuit was ordered back from this page less than `ms` ago. */
export function isJustRestored(
  { restoredMs }: Pick<PageState, 'restoredMs'>,
  circuit: string,
  ms: number,
  nowMs: number,
): boolean {
  return nowMs - (restoredMs[circuit] ?? Number.NEGATIVE_INFINITY) < ms;
}

/** True while a circuit is shown among the running tests. */
export function isRunningHere(state: PageState, status: ControllerStatus, nowMs: number): boolean {
  return isTesting(status) || isJustRestored(state, status.circuit, STAY_MS, nowMs);
}

/** What became of an order. The late answer to an order replaces none that was given after it. */
export function withOutcome(state: PageState, outcome: Followed): PageState {
  const { circuit, order, ok, unanswered, nothingToDo } = outcome;
  const last = state.outcome;
  const isSame = last?.order === 'restore' && order === 'restore' && last.circuit === circuit;
  if (isSame && last.givenMs > outcome.givenMs) return state;
  const isRefused = order === 'restore' && !ok && !unanswered && !nothingToDo;
  if (isRefused) return { ...withPress(state, circuit, Number.NEGATIVE_INFINITY), outcome };
  if (!isSame) return { ...state, outcome };
  // The result that the first press caused is still that of the second.
  return { ...state, outcome: { ...outcome, after: Math.min(last.after, outcome.after) } };
}
