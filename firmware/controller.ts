// The whole controller: core, journal and link over the ports. The board's main file and the simulator call
// exactly this. One turn of the loop: relay first, core, journal, then the link.
import { Ending, SelfTest } from './contract/codes';
import { Limit } from './contract/limits';
import { signingKey, toHex } from './contract/signature';
import { chipSet, compareChip, startFromChip } from './core/chip';
import { utcAt } from './core/clock';
import { intentStored, isIntentDue } from './core/discharge';
import { Read } from './core/inputs';
import { isQuiet } from './core/quiet';
import { closeLostOpening, newRecovery, recoverRecord, resumeHold } from './core/recovery';
import { hasNews } from './core/senses';
import { type Core, isAtRest, isDischarging, newCore } from './core/state';
import { start, step, takeSelfTest } from './core/step';
import { appendRecord, hasRoom, isTurnDue, type Journal, mountJournal, turnFile } from './journal/journal';
import { type Inbox, loadSaved } from './link/inbox';
import { type Link, type LinkOptions, linkTurn, linkWakeAt, newLink } from './link/link';
import { mqttClosed, mqttData, mqttOpened } from './link/mqtt';
import type { BoardPort } from './ports';
import {
  Did,
  isTakingDown,
  keepTurn,
  newRecorder,
  noteMessage,
  type Recorder,
  takeDown,
} from './trace/recorder';

/** Wait before retrying a record that could not be written, ms. */
const FLASH_RETRY_MS = 10000;
/** So many parts of a journal file may be erased on end before it is given up for a while, ms. */
const TURN_TRIES = 256;
const TURN_PAUSE_MS = 3600000;
/** Between two slices of the self-tests, ms. */
const SLICE_MS = 60000;

export interface Identity {
  /** `site/controller`. */
  address: string;
  /** Secret shared with the host, binary string. */
  secret: string;
  /** Bytes of each of the two journal files. */
  journalBytes: number;
  link: LinkOptions;
}

export interface Controller {
  board: BoardPort;
  core: Core;
  journal: Journal;
  inbox: Inbox;
  recorder: Recorder;
  link: Link;
  flashRetryAt: number;
  /** When the change of journal files goes on, and how often it has been tried in a row. */
  turnAt: number;
  turnTries: number;
  /** When the next slice of the self-tests is due. */
  selfTestAt: number;
  /**
   * 1: this turn has written a record, entered a phase or judged lamps, which is enough work for one turn.
   */
  wrote: number;
  /** When the link next has something to do, on its clock; 0 when it must be asked. */
  linkAt: number;
}

function freshId(board: BoardPort): string {
  const n = board.entropy();
  return toHex(String.fromCharCode((n >>> 24) & 255, (n >>> 16) & 255, (n >>> 8) & 255, n & 255));
}

/** Writes the oldest waiting record; the next one waits a turn. @returns whether none is left. */
function flush(c: Controller, now: number): boolean {
  const s = c.core;
  c.wrote = 1;
  if (!appendRecord(c.journal, s.out)) {
    c.flashRetryAt = now + FLASH_RETRY_MS;
    return false;
  }
  s.outCount--;
  for (let i = 0; i < s.outCount; i++) s.out[i] = s.out[i + 1];
  s.out[s.outCount] = '';
  s.dirty = 1;
  c.flashRetryAt = now;
  return s.outCount === 0;
}

/**
 * Starts a controller: saved settings and plan, then the journal, then whatever the last run left unfinished.
 * The relay is at rest throughout (I3).
 * @throws Error when the journal can be neither read nor created.
 */
export function newController(board: BoardPort, id: Identity): Controller {
  board.drive(0, 0, Ending.All);
  const now = board.now();
  const core = newCore(0);
  const key = signingKey(id.secret, board.sha256);
  const recovery = newRecovery();
  const recorder = newRecorder();
  const inbox: Inbox = {
    core: core,
    // Set below: the journal can be read only after loading the plan it refers to.
    journal: undefined as unknown as Journal,
    recorder: recorder,
    flash: board.flash,
    key: key,
    address: id.address,
    counter: 0,
    refused: 0,
    refusalAt: 0,
    unreadSettings: '',
    unreadPlan: '',
    unsaved: '',
    draft: undefined,
    hasAck: 0,
    replyCounter: -1,
    replyReason: 0,
  };
  loadSaved(inbox, now);
  const visit = function (text: string): void {
    recoverRecord(core, recovery, text);
  };
  const fresh = function (): string {
    return freshId(board);
  };
  const journal = mountJournal(board.flash, key, id.address, id.journalBytes, fresh, visit);
  if (journal === undefined) throw new Error('The journal can be neither read nor created: check the flash.');
  inbox.journal = journal;
  inbox.counter = recovery.counter;
  core.boot = recovery.boot + 1;
  startFromChip(core, board.chipTime(), recovery.chipSetUtc, recovery.utc, now);
  closeLostOpening(core, recovery, now);
  resumeHold(core, recovery, now);
  core.reason = recovery.fault;
  start(core, board.bootCause(), now);
  const link = newLink(id.link, core, journal, inbox, id.address, board.net);
  const c: Controller = {
    board: board,
    core: core,
    journal: journal,
    inbox: inbox,
    recorder: recorder,
    link: link,
    flashRetryAt: 0,
    turnAt: 0,
    turnTries: 0,
    selfTestAt: 0,
    wrote: 0,
    linkAt: 0,
  };
  for (let left = core.outCount; left > 0 && c.flashRetryAt <= now; left--) flush(c, now);
  return c;
}

/** Writes the oldest waiting record; the core learns at once how an intent fared. */
function write(c: Controller, now: number): void {
  const s = c.core;
  const isIntent = isIntentDue(s);
  // An intent waits alone: nothing may open while a record is waiting.
  const ok = flush(c, now);
  if (!isIntent) return;
  intentStored(s, ok ? 1 : 0, now);
  c.board.drive(s.drive, s.leaseUntil, s.ending);
}

/** Whether to change journal files: at rest, with the supply there, and never beside other work. */
function isTurning(c: Controller): boolean {
  return isTurnDue(c.journal) && isAtRest(c.core) && c.core.outCount === 0;
}

function turnJournal(c: Controller, now: number): void {
  if (turnFile(c.journal)) {
    c.turnTries = 0;
    return;
  }
  c.turnTries++;
  if (c.turnTries < TURN_TRIES) return;
  c.turnTries = 0;
  c.turnAt = now + TURN_PAUSE_MS;
}

/** Clock chip against clock. */
function chipTurn(c: Controller, now: number): void {
  const s = c.core;
  const utc = c.board.chipTime();
  noteMessage(c.recorder, s, 'k' + (utc - utcAt(s, now)), now);
  if (!compareChip(s, utc, now)) return;
  const ok = c.board.setChipTime(utcAt(s, now));
  noteMessage(c.recorder, s, 'q' + ok, now);
  chipSet(s, ok, now);
}

/** One slice of the self-tests. */
function selfTestTurn(c: Controller, now: number): void {
  c.selfTestAt = now + SLICE_MS;
  const found = c.board.selfTest(c.core.in, c.core.set.lampCount);
  if (found === SelfTest.None) return;
  noteMessage(c.recorder, c.core, 'x' + found, now);
  takeSelfTest(c.core, found, now);
}

/** What may wait for a turn with no other work, at rest. */
function restTurn(c: Controller, now: number): void {
  const s = c.core;
  if (!isAtRest(s) || s.outCount > 0) return;
  if (s.chipAt > 0 && now >= s.chipAt) chipTurn(c, now);
  else if (now >= c.selfTestAt && isQuiet(s, now)) selfTestTurn(c, now);
}

/** The core's half of a turn. */
export function coreTurn(c: Controller): void {
  const s = c.core;
  const now = c.board.now();
  c.board.readInputs(s.in);
  // Before anything that takes time; the core will request the same.
  if (s.in.stop || s.in.key) c.board.drive(0, 0, Ending.All);
  else c.board.drive(s.drive, s.leaseUntil, s.ending);
  c.wrote = 0;
  let isDue = s.outCount > 0 && now >= c.flashRetryAt;
  let did = c.recorder.left > 0 ? takeDown(c.recorder, s, c.journal, now) : 0;
  if (now >= s.wakeAt || hasNews(s)) {
    const phase = s.phase;
    const open = s.undecided - s.judgedEarly - s.judgedFull;
    const asked = s.sampleAt > 0 && now >= s.sampleAt;
    if (asked) s.in.read = c.board.readLamps(s.in, s.set.lampCount, s.sampleAt);
    const reading = asked && s.in.read !== Read.NotYet;
    s.journalReady = s.outCount === 0 && hasRoom(c.journal) ? 1 : 0;
    step(s, now);
    did |= reading ? Did.Step | Did.Reading : Did.Step;
    c.board.drive(s.drive, s.leaseUntil, s.ending);
    c.board.red(s.red);
    c.linkAt = 0;
    if (reading && isDischarging(s)) c.link.hasReading = 1;
    // Entering a phase, or judging all lamps at a point or at the end, is enough work for a turn.
    if (s.phase !== phase || s.undecided - s.judgedEarly - s.judgedFull !== open) {
      c.wrote = 1;
      isDue = false;
    }
    // A record made in this turn is written in the next one; only for an intent is a relay waiting.
    if (isIntentDue(s)) isDue = true;
  }
  if (isDue) {
    c.linkAt = 0;
    write(c, now);
    did |= c.flashRetryAt > now ? Did.InVain : Did.Write;
  } else if (now >= c.turnAt && isTurning(c)) {
    c.wrote = 1;
    turnJournal(c, now);
  }
  if (did === 0 && c.wrote === 0) restTurn(c, now);
  else if (c.recorder.left > 0) keepTurn(c.recorder, s, did, now);
}

/** The link's half of a turn; an incoming order releases its relay here, and its record follows next turn. */
export function linkHalfTurn(c: Controller): void {
  if (c.wrote) {
    c.wrote = 0;
    return;
  }
  const now = c.board.linkNow();
  if (now < c.linkAt) return;
  linkTurn(c.link, now, c.board.now());
  c.linkAt = linkWakeAt(c.link);
  c.board.drive(c.core.drive, c.core.leaseUntil, c.core.ending);
}

/** Whether the link's half has something to do that would make a turn with the relay open too long. */
export function isLinkApart(c: Controller): boolean {
  return c.core.drive === 1 && c.wrote === 0 && c.board.linkNow() >= c.linkAt;
}

/** When the core next has something to do, monotonic ms; an input change may call it sooner. */
export function coreWakeAt(c: Controller): number {
  if (isTakingDown(c.recorder)) return 0;
  const s = c.core;
  if (isTurning(c)) return Math.min(s.wakeAt, c.turnAt);
  if (s.outCount > 0) return Math.min(s.wakeAt, c.flashRetryAt);
  return s.chipAt > 0 && isAtRest(s) ? Math.min(s.wakeAt, s.chipAt) : s.wakeAt;
}

/** When the link next has something to do, on the link's clock. */
export function linkDueAt(c: Controller): number {
  return linkWakeAt(c.link);
}

/** Whether the loop may stand still for up to a minute, for the network. */
export function mayStandStill(c: Controller): boolean {
  return isQuiet(c.core, c.board.now());
}

/** The network port calls these. An order may release the relay: that happens at once. */
export function linkOpened(c: Controller): void {
  c.linkAt = 0;
  c.link.now = c.board.linkNow();
  mqttOpened(c.link.mqtt, c.link.now);
}

export function linkData(c: Controller, bytes: string): void {
  c.linkAt = 0;
  c.link.now = c.board.linkNow();
  c.link.coreNow = c.board.now();
  mqttData(c.link.mqtt, bytes, c.link.now);
  c.board.drive(c.core.drive, c.core.leaseUntil, c.core.ending);
}

export function linkClosed(c: Controller): void {
  c.linkAt = 0;
  c.link.now = c.board.linkNow();
  mqttClosed(c.link.mqtt, c.link.now);
}

/** Period of the main loop, ms. */
export const LOOP_MS: number = Limit.LoopMs;
