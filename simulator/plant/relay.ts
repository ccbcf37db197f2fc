// The relay and what guards it: a coil held by a pulse detector, a hardware timeout in series, and a
// contact that may weld or stick. Rest position: contact closed, mains on.

/** Contact opens this long after the first pulses, ms. */
const PULL_MS = 60;
/** Contact closes this long after the drive is dropped, ms. */
const DROP_MS = 120;
/** The pulse detector lets go this long after the last pulse, ms; the drawing says within 1 s. */
export const DETECTOR_MS = 800;
/** Longest opening the hardware timer allows, ms. */
export const HARDWARE_LIMIT_MS = 12600000;
const NEVER = Number.POSITIVE_INFINITY;

export interface Relay {
  /** Wish of the controller, and until when it holds without renewal. */
  driven: boolean;
  drivenUntil: number;
  drivenSince: number;
  /** The hardware timer has run out; it stays so until the controller lets go. */
  timedOut: boolean;
  /** Last change of the wish. */
  changedAt: number;
  /** Contact as of the last settle. */
  open: boolean;
  /** The contact does not open from..to. */
  weldedFrom: number;
  weldedTo: number;
  /** The contact is slow to close, by `stickMs`, from..to. */
  sticksFrom: number;
  sticksTo: number;
  stickMs: number;
  /** A contact that sticks open stays so until then. */
  stuckUntil: number;
}

export function newRelay(): Relay {
  return {
    driven: false,
    drivenUntil: 0,
    drivenSince: 0,
    timedOut: false,
    changedAt: 0,
    open: false,
    weldedFrom: NEVER,
    weldedTo: NEVER,
    sticksFrom: NEVER,
    sticksTo: NEVER,
    stickMs: 0,
    stuckUntil: 0,
  };
}

function sticks(r: Relay, at: number): boolean {
  return at >= r.sticksFrom && at < r.sticksTo;
}

function isWelded(r: Relay, at: number): boolean {
  return at >= r.weldedFrom && at < r.weldedTo;
}

/** The controller drives the coil (or lets go); `until` is its lease. */
export function driveRelay(r: Relay, wished: boolean, until: number, now: number): void {
  if (!wished) r.timedOut = false;
  const driven = wished && !r.timedOut;
  if (driven !== r.driven) {
    settleRelay(r, now);
    if (!driven && r.open && sticks(r, now)) r.stuckUntil = now + r.stickMs;
    if (driven) r.drivenSince = now;
    r.driven = driven;
    r.changedAt = now;
  }
  r.drivenUntil = until;
}

/** When the coil loses its hold if nothing renews it. */
function holdEnd(r: Relay): number {
  return Math.min(r.drivenUntil + DETECTOR_MS, r.drivenSince + HARDWARE_LIMIT_MS);
}

/** Brings the contact up to `now`. */
export function settleRelay(r: Relay, now: number): void {
  if (r.driven && now >= holdEnd(r)) {
    r.changedAt = holdEnd(r);
    r.timedOut = r.changedAt >= r.drivenSince + HARDWARE_LIMIT_MS;
    if (r.open && sticks(r, r.changedAt)) r.stuckUntil = r.changedAt + r.stickMs;
    r.driven = false;
  }
  if (r.driven && !r.open && now >= r.changedAt + PULL_MS) r.open = !isWelded(r, r.changedAt);
  if (!r.driven && r.open && now >= Math.max(r.changedAt + DROP_MS, r.stuckUntil)) r.open = false;
}

/** Next instant at which the contact may move by itself; infinite when none. */
export function relayChangeAt(r: Relay): number {
  if (r.driven) return r.open || isWelded(r, r.changedAt) ? holdEnd(r) : r.changedAt + PULL_MS;
  return r.open ? Math.max(r.changedAt + DROP_MS, r.stuckUntil) : NEVER;
}
