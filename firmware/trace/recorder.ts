// On order, records the core's inputs around its next test as records of the journal: with them the same core
// can be run again elsewhere and must decide the same (simulator/replay). First what it knows (settings,
// slots, its numbers), then every step's inputs. While the core only idles, the start of the trace moves on;
// the trace ends when the core is idle again or its room is used up.
//
// Text: tokens, each followed by a blank. `!` and the settings' numbers; `l` the lamps' rows; `p` rows of
// slots; `=` the last record, the time, the count of slots, the senses, slots' states and the core's numbers,
// in the order in which `newCore` has them. Then `<ms since the token before><what>`: `s` a step with its
// input bits, `p` a part handed to the journal, `w` a record written, `f` a record that failed to write, `:`
// and a reading of the lamps as differences; `o` an order, `r` a refusal, `a` an answer with the time; `k` how
// far the clock chip is ahead, s, `q` whether it took the time it was set to, `x` what a self-test found.
import { Phase, Reason } from '../contract/codes';
import { DIGITS } from '../contract/curve';
import { Limit } from '../contract/limits';
import { levelBits } from '../core/inputs';
import { queueRecord, traceRecord } from '../core/records';
import type { Core } from '../core/state';
import type { Journal } from '../journal/journal';

/**
 * Characters after which a part goes to the journal; characters of idle steps after which the start moves on.
 */
const PART_CHARS = 360;
const FIRST_CHARS = 1200;
/** Slot values recorded in one turn. */
const SLOT_VALUES = 72;

/** What is recorded next; `Slots` takes as many turns as it needs. */
export const enum Stage {
  Settings = 0,
  Lamps = 1,
  Numbers = 2,
  Events = 3,
  Slots = 4,
}

/** What happened in a turn of the core, as bits. */
export const enum Did {
  Step = 1,
  Reading = 2,
  Write = 4,
  InVain = 8,
  /** A part of the trace was handed to the journal. */
  Part = 16,
  /** Not a turn, but a message after it. */
  Heard = 32,
}

export interface Recorder {
  /** Characters of room left; 0: not recording. */
  left: number;
  /** Number of the next part. */
  part: number;
  text: string;
  stage: number;
  /** 1: the core has been active since its numbers were recorded. */
  moved: number;
  /** Core's time of the last token. */
  at: number;
  /** What the last turn did and is not recorded yet, 0 nothing; its time and its input bits. */
  did: number;
  turnAt: number;
  bits: number;
  /** Lamp readings of the last token; undefined while not recording. */
  lamp: Int16Array | undefined;
}

export function newRecorder(): Recorder {
  return {
    left: 0,
    part: 0,
    text: '',
    stage: 0,
    moved: 0,
    at: 0,
    did: 0,
    turnAt: 0,
    bits: 0,
    lamp: undefined,
  };
}

/**
 * Starts recording the core's inputs, up to this many characters.
 * @returns None, OutOfBounds, or Busy when it is already recording or the core is not at rest.
 */
export function beginTrace(r: Recorder, s: Core, chars: number): Reason {
  if (!(chars >= Limit.TraceCharsMin && chars <= Limit.TraceCharsMax)) return Reason.OutOfBounds;
  if (r.left > 0 || s.phase !== Phase.Charged || s.chargeAt > 0) return Reason.Busy;
  r.left = chars;
  r.part = 0;
  r.text = '';
  r.stage = Stage.Settings;
  return Reason.None;
}

/** A number with all its digits: the interpreter prints only eleven. */
function digits(value: number): string {
  if (value < 1000000000) return '' + value;
  return Math.floor(value / 1000000) + 'm' + (value % 1000000);
}

function listText(values: { [index: number]: number }, from: number, to: number): string {
  let text = '';
  for (let i = from; i < to; i++) text += digits(values[i]) + ',';
  return text;
}

/** The numeric fields of an object, in the order of its literal. */
function numbersText(of: object): string {
  const fields = of as { [name: string]: number };
  let text = '';
  for (const name in fields) if (typeof fields[name] === 'number') text += digits(fields[name]) + ',';
  return text;
}

/** Lamp readings as differences: one character for -31 to 31 mA, else `_` and the reading in three. */
function lampText(r: Recorder, s: Core): string {
  const lamp = s.in.lamp;
  const before = r.lamp as Int16Array;
  let text = ':';
  for (let i = 0; i < s.set.lampCount; i++) {
    const ma = lamp[i];
    const by = ma - before[i] + 31;
    if (by >= 0 && by < 63) text += DIGITS.charAt(by);
    else {
      const whole = ma + 32768;
      text += '_' + DIGITS.charAt(whole >> 12) + DIGITS.charAt((whole >> 6) & 63) + DIGITS.charAt(whole & 63);
    }
    before[i] = ma;
  }
  return text;
}

function since(r: Recorder, now: number): string {
  const ms = now - r.at;
  r.at = now;
  return '' + ms;
}

/** What the last turn did; the lamp inputs have not changed since. */
function noteTurn(r: Recorder, s: Core): void {
  const did = r.did;
  r.did = 0;
  if (s.phase !== Phase.Charged) r.moved = 1;
  if (did === Did.Heard) return;
  r.text += since(r, r.turnAt);
  if (did & Did.Step) r.text += 's' + r.bits;
  if (did & Did.Part) r.text += 'p';
  if (did & Did.Write) r.text += 'w';
  if (did & Did.InVain) r.text += 'f';
  if (did & Did.Reading) r.text += lampText(r, s);
  r.text += ' ';
}

function takeKnown(r: Recorder, s: Core, j: Journal, now: number): void {
  if (r.stage === Stage.Settings) {
    r.text = '!' + numbersText(s.set) + ' ';
    r.stage = Stage.Lamps;
  } else if (r.stage === Stage.Lamps) {
    r.text += 'l' + listText(s.set.lamps, 0, s.set.lamps.length) + ' ';
    r.stage = Stage.Slots;
  } else if (r.stage >= Stage.Slots) {
    const from = (r.stage - Stage.Slots) * SLOT_VALUES;
    const to = Math.min(from + SLOT_VALUES, s.slots.length);
    r.text += 'p' + listText(s.slots, from, to) + ' ';
    r.stage = to < s.slots.length ? r.stage + 1 : Stage.Numbers;
  } else if (s.outCount === 0) {
    r.text = '=' + (j.last + ',' + digits(now) + ',' + s.slotCount + ',');
    r.text += listText(s.raw, 0, 3) + listText(s.level, 0, 3) + listText(s.rawAt, 0, 3);
    r.text += listText(s.slotState, 0, s.slotCount) + numbersText(s) + ' ';
    r.at = now;
    r.did = 0;
    r.moved = 0;
    r.lamp = new Int16Array(Limit.Luminaires);
    r.stage = Stage.Events;
  }
}

function putPart(r: Recorder, s: Core, now: number): Did {
  r.left = Math.max(0, r.left - r.text.length);
  queueRecord(s, traceRecord(s, r.part, r.left, r.text, now));
  r.part++;
  r.text = '';
  if (r.left === 0) r.lamp = undefined;
  return Did.Part;
}

/** End of a turn: keeps what it did and its inputs until the next one has time to record them. */
export function keepTurn(r: Recorder, s: Core, did: number, now: number): void {
  r.did = did;
  r.turnAt = now;
  r.bits = levelBits(s.in) | (s.journalReady << 6) | (s.in.charge << 7);
}

/**
 * Before a turn's step: records what the last turn did. A waiting record would keep a test from opening.
 * @returns Part when a part is full and waits for the journal, else 0
 */
export function takeDown(r: Recorder, s: Core, j: Journal, now: number): number {
  if (r.stage !== Stage.Events) {
    if (r.text === '') takeKnown(r, s, j, now);
    else if (s.outCount === 0) return putPart(r, s, now);
    return 0;
  }
  if (r.did) noteTurn(r, s);
  if (s.outCount > 0 || s.phase === Phase.Opening) return 0;
  if (r.moved && (s.phase === Phase.Recharging || s.phase === Phase.Charged)) {
    r.left = r.text.length;
    return putPart(r, s, now);
  }
  const isAtRest = !r.moved && r.text.charAt(0) === '=';
  if (r.text.length < (isAtRest ? FIRST_CHARS : PART_CHARS)) return 0;
  if (!isAtRest) return putPart(r, s, now);
  // Only idle steps so far: move the start on.
  r.text = '';
  r.stage = Stage.Numbers;
  return 0;
}

/** Whether the next turn has something to record. */
export function isTakingDown(r: Recorder): boolean {
  return r.left > 0 && (r.stage !== Stage.Events || r.did !== 0);
}

/** Something from the host, the clock chip or a self-test is about to reach the core; `token` says what. */
export function noteMessage(r: Recorder, s: Core, token: string, now: number): void {
  if (r.left === 0 || r.stage !== Stage.Events) return;
  if (r.did) noteTurn(r, s);
  r.text += since(r, now) + token + ' ';
  r.did = Did.Heard;
}

/** New settings or a new plan were accepted: what was recorded under the old ones is useless. */
export function traceAnew(r: Recorder): void {
  if (r.left === 0) return;
  r.text = '';
  r.stage = Stage.Settings;
}
