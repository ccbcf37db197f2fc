// What happens to the controller's board from outside its program: power, resets, hangs, the rate of its
// crystal, and the time it is given.
import { SelfTest } from '../../firmware/contract/codes';
import type { ClockChip } from './clockChip';
import { edgeAfter, faultEdgeAfter, inForce, isIn, type Span } from './spans';

const NEVER = Number.POSITIVE_INFINITY;

/** A crystal that runs fast (above 0) or slow by this many parts per million. */
export interface CrystalFault extends Span {
  ppm: number;
}

/** Answers to a time request that are wrong by this much, ms. */
export interface HostClockFault extends Span {
  offsetMs: number;
}

export interface BoardPlant {
  /** Spans without power, and with a hanging program that the watchdog ends: sorted, disjoint. */
  off: Span[];
  hangs: Span[];
  /** Instants of resets, sorted. */
  resets: number[];
  /** The program is not running: no power, or it hangs. */
  isDown: boolean;
  /** Next instant at which power, program or crystal changes. */
  changeAt: number;
  crystalFaults: CrystalFault[];
  /** The board's counter at `since`, ms, and by how many parts per million it has run fast since then. */
  since: number;
  base: number;
  ppm: number;
  hostClock: HostClockFault[];
  /** Spans in which no time request is answered: sorted, disjoint. */
  silences: Span[];
  clockChip?: ClockChip;
  /** What the board's self-tests find, and from when until when. */
  ailments: Ailment[];
}

/** A part of the board that its self-tests find broken. */
export interface Ailment extends Span {
  test: SelfTest;
}

export function newBoardPlant(): BoardPlant {
  return {
    off: [],
    hangs: [],
    resets: [],
    isDown: false,
    changeAt: NEVER,
    crystalFaults: [],
    since: 0,
    base: 0,
    ppm: 0,
    hostClock: [],
    silences: [],
    ailments: [],
  };
}

/** The board restarts at `at`, and `count` times in all, every `everyMs`. */
export function addResets(b: BoardPlant, at: number, count = 1, everyMs = 0): void {
  for (let i = 0; i < count; i++) b.resets.push(at + i * everyMs);
  b.resets.sort((x, y) => x - y);
  b.changeAt = Math.min(b.changeAt, at);
}

/** `off`: power lost; `hang`: the program stands still; `boot`: it starts from the beginning. */
export type BoardChange = 'none' | 'off' | 'hang' | 'boot';

function lookAhead(b: BoardPlant, now: number): void {
  b.changeAt = Math.min(
    edgeAfter(b.off, now),
    edgeAfter(b.hangs, now),
    b.resets.length > 0 ? b.resets[0] : NEVER,
    faultEdgeAfter(b.crystalFaults, now),
    faultEdgeAfter(b.ailments, now),
  );
}

function settleRate(b: BoardPlant, now: number): void {
  const ppm = inForce(b.crystalFaults, now)?.ppm ?? 0;
  if (ppm === b.ppm) return;
  b.base = boardMs(b, now);
  b.since = now;
  b.ppm = ppm;
}

/** Whether a reset is due; it is removed from the list. */
function takeResets(b: BoardPlant, now: number): boolean {
  let isReset = false;
  while (b.resets.length > 0 && b.resets[0] <= now) {
    b.resets.shift();
    isReset = true;
  }
  return isReset;
}

/** Advances the board to `now`, once `changeAt` has come. @returns what happens to the program */
export function settleBoard(b: BoardPlant, now: number): BoardChange {
  settleRate(b, now);
  const isReset = takeResets(b, now);
  const isOff = isIn(b.off, now);
  // Any restart ends a hang.
  if ((isOff || isReset) && isIn(b.hangs, now)) b.hangs.shift();
  const isHung = !isOff && isIn(b.hangs, now);
  const wasDown = b.isDown;
  b.isDown = isOff || isHung;
  lookAhead(b, now);
  if (isOff) return 'off';
  if (isHung) return wasDown ? 'none' : 'hang';
  return wasDown || isReset ? 'boot' : 'none';
}

/** The board's monotonic counter starts again. */
export function restartCounter(b: BoardPlant, now: number): void {
  b.since = now;
  b.base = 0;
}

/** What the counter adds in so many ms: exact, as products of whole numbers below 2^53 are. */
function counted(ms: number, ppm: number): number {
  return ms + Math.floor((ms * ppm) / 1e6);
}

/** The board's monotonic counter, whole ms since its start. */
export function boardMs(b: BoardPlant, now: number): number {
  return b.base + (b.ppm === 0 ? now - b.since : counted(now - b.since, b.ppm));
}

/** First simulated instant at which the board's counter reaches `ms`; infinite stays so. */
export function simulatedAt(b: BoardPlant, ms: number): number {
  const span = ms - b.base;
  if (b.ppm === 0 || !Number.isFinite(span)) return b.since + span;
  let at = Math.round(span / (1 + b.ppm / 1e6));
  while (counted(at, b.ppm) < span) at++;
  while (counted(at - 1, b.ppm) >= span) at--;
  return b.since + at;
}

/** As `BoardPort.selfTest`. */
export function foundByItself(b: BoardPlant, now: number): SelfTest {
  return inForce(b.ailments, now)?.test ?? SelfTest.None;
}

/** How wrong the host's time is for this board, ms; undefined when it does not answer. */
export function hostClockErrorMs(b: BoardPlant, now: number): number | undefined {
  return isIn(b.silences, now) ? undefined : (inForce(b.hostClock, now)?.offsetMs ?? 0);
}
