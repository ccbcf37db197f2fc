// The relay and what guards it: a coil held by a pulse detector, a hardware timeout in series, and a
// contact that may weld, stick or chatter. Rest position: contact closed, mains on.

/** Contact opens this long after the first pulses, ms. */
const PULL_MS = 60;
/** Contact closes this long after the drive is dropped, ms. */
const DROP_MS = 120;
/** A chattering contact changes this often, ms. */
const CHATTER_MS = 35;
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
  /** Contact as of the last settle, at `settledAt`: it may chatter around the armature's position. */
  open: boolean;
  settledAt: number;
  /** Position of the armature, and when it last moved. */
  pulled: boolean;
  movedAt: number;
  /** The contact does not open from..to. */
  weldedFrom: number;
  weldedTo: number;
  /** The contact is slow to close, by `stickMs`, from..to. */
  sticksFrom: number;
  sticksTo: number;
  stickMs: number;
  /** A contact that sticks open stays so until then. */
  stuckUntil: number;
  /** A contact that sticks comes free with this many exercises of the coil; 0: by time alone. */
  freesAfter: number;
  exercised: number;
  /** The contact chatters for `bounceMs` after each move of the armature, from..to. */
  bouncesFrom: number;
  bouncesTo: number;
  bounceMs: number;
}

export function newRelay(): Relay {
  return {
    driven: false,
    drivenUntil: 0,
    drivenSince: 0,
    timedOut: false,
    changedAt: 0,
    open: false,
    settledAt: 0,
    pulled: false,
    movedAt: Number.NEGATIVE_INFINITY,
    weldedFrom: NEVER,
    weldedTo: NEVER,
    sticksFrom: NEVER,
    sticksTo: NEVER,
    stickMs: 0,
    stuckUntil: 0,
    freesAfter: 0,
    exercised: 0,
    bouncesFrom: NEVER,
    bouncesTo: NEVER,
    bounceMs: 0,
  };
}

function isWelded(r: Relay, at: number): boolean {
  return at >= r.weldedFrom && at < r.weldedTo;
}

/** Half periods of chatter since the armature moved, or -1 when the contact is quiet. */
function chatter(r: Relay, at: number): number {
  const isFaulty = r.movedAt >= r.bouncesFrom && at < r.bouncesTo;
  return isFaulty && at - r.movedAt < r.bounceMs ? Math.floor((at - r.movedAt) / CHATTER_MS) : -1;
}

/** The coil has lost its hold at `at`: a contact that sticks begins to, or was exercised once more. */
function letGo(r: Relay, at: number): void {
  r.changedAt = at;
  r.driven = false;
  if (!r.pulled || at < r.sticksFrom || at >= r.sticksTo) return;
  if (at >= r.stuckUntil) {
    r.stuckUntil = at + r.stickMs;
    r.exercised = 0;
  } else if (++r.exercised === r.freesAfter) r.stuckUntil = at;
}

/** The controller drives the coil (or lets go); `until` is its lease. */
export function driveRelay(r: Relay, wished: boolean, until: number, now: number): void {
  if (!wished) r.timedOut = false;
  const driven = wished && !r.timedOut;
  if (driven !== r.driven) {
    settleRelay(r, now);
    if (driven) {
      r.drivenSince = now;
      r.driven = true;
      r.changedAt = now;
    } else if (r.driven) letGo(r, now);
  }
  r.drivenUntil = until;
}

/** When the coil loses its hold if nothing renews it. */
function holdEnd(r: Relay): number {
  return Math.min(r.drivenUntil + DETECTOR_MS, r.drivenSince + HARDWARE_LIMIT_MS);
}

function move(r: Relay, pulled: boolean, at: number): void {
  r.pulled = pulled;
  r.movedAt = at;
}

/** Brings the contact up to `now`. */
export function settleRelay(r: Relay, now: number): void {
  if (r.driven && now >= holdEnd(r)) {
    const at = holdEnd(r);
    r.timedOut = at >= r.drivenSince + HARDWARE_LIMIT_MS;
    letGo(r, at);
  }
  const pullAt = r.changedAt + PULL_MS;
  const dropAt = Math.max(r.changedAt + DROP_MS, r.stuckUntil);
  if (r.driven && !r.pulled && now >= pullAt && !isWelded(r, r.changedAt)) move(r, true, pullAt);
  if (!r.driven && r.pulled && now >= dropAt) move(r, false, dropAt);
  r.settledAt = now;
  r.open = r.pulled !== (chatter(r, now) % 2 === 1);
}

/** Next instant at which the contact may move by itself; infinite when none. */
export function relayChangeAt(r: Relay): number {
  const half = chatter(r, r.settledAt);
  const chatterAt = half < 0 ? NEVER : r.movedAt + (half + 1) * CHATTER_MS;
  return Math.min(chatterAt, armatureChangeAt(r));
}

function armatureChangeAt(r: Relay): number {
  if (r.driven) return r.pulled || isWelded(r, r.changedAt) ? holdEnd(r) : r.changedAt + PULL_MS;
  return r.pulled ? Math.max(r.changedAt + DROP_MS, r.stuckUntil) : NEVER;
}
