// A trace as stored in a log book (firmware/trace/recorder.ts), read back: what the core knew, and its inputs
// from then on.
import { DIGITS, threeDigits } from '../../firmware/contract/curve';
import type { AnyRecord, OrderRecord, TraceRecord } from '../../firmware/contract/messages';
import { newSettings } from '../../firmware/core/settings';
import { newCore } from '../../firmware/core/state';

/** A trace that cannot be replayed, as one sentence. */
export class TraceError extends Error {}

/** A turn of the core: `bits` and `lamps` where it was stepped with inputs and a reading. */
export interface TurnGiven {
  ms: number;
  what: 'turn';
  bits?: number;
  lamps?: number[];
  /** A record was written, or could not be. */
  wrote: boolean;
  inVain: boolean;
}

export type Given =
  | TurnGiven
  | { ms: number; what: 'order' | 'refusal'; record: OrderRecord }
  /** Answer with the time: how far it is from the clock, ms, and how old, ms. */
  | { ms: number; what: 'answer'; off: number; age: number }
  | OwnGiven;

/** How far the clock chip was ahead, s; whether it took its time; what a self-test found. */
export interface OwnGiven {
  ms: number;
  what: 'chip' | 'chip set' | 'self-test';
  value: number;
}

export const OWN_MARKS: Record<OwnGiven['what'], string> = { chip: 'k', 'chip set': 'q', 'self-test': 'x' };

/** What the core knew when the trace began: numbers in the order in which `newCore` has them. */
export interface Known {
  settings: number[];
  lamps: number[];
  slots: number[];
  slotState: number[];
  raw: number[];
  level: number[];
  rawAt: number[];
  core: number[];
  /** Core's time, ms. */
  now: number;
}

export interface Trace {
  known: Known;
  given: Given[];
  /** Number of the part with what the core knew, room left before it, and that part's first token. */
  part: number;
  left: number;
  firstToken: string;
  /** Bodies of the records the controller wrote from the start of the trace on. */
  bodies: string[];
  /** Whether its last part is present. */
  isWhole: boolean;
}

const SENSES = 3;

function wholeOf(text: string): number {
  const [thousands, rest] = text.split('m').map(Number);
  const value = rest === undefined ? thousands : thousands * 1_000_000 + rest;
  if (text === '' || !Number.isFinite(value))
    throw new TraceError(`The trace holds "${text}" where a number belongs.`);
  return value;
}

function listOf(text: string): number[] {
  return text.split(',').slice(0, -1).map(wholeOf);
}

/** The middle of a record, made by the core: without number, chain and signature. */
export function bodyOf(text: string): string {
  const from = text.indexOf('"boot":');
  const to = text.lastIndexOf(',"prev":"');
  return text.slice(from, to);
}

function readKnown(parts: string[]): { known: Known; after: number } {
  const of = (mark: string) => parts.filter((p) => p.startsWith(mark)).map((p) => p.split(' ')[0].slice(1));
  const [numbers] = of('=');
  const [after, now, states, ...rest] = listOf(numbers);
  const slots = of('p').flatMap(listOf);
  const coreNumbers = Object.values(newCore(0)).filter((value) => typeof value === 'number').length;
  const settingNumbers = Object.values(newSettings()).filter((value) => typeof value === 'number').length;
  const settings = of('!').flatMap(listOf);
  if (rest.length !== 3 * SENSES + states + coreNumbers || settings.length !== settingNumbers)
    throw new TraceError(
      'The trace was taken by another version of the firmware than this one: use its version.',
    );
  const take = (count: number) => rest.splice(0, count);
  const known: Known = {
    ...{ settings, lamps: of('l').flatMap(listOf), slots, now },
    ...{ raw: take(SENSES), level: take(SENSES), rawAt: take(SENSES), slotState: take(states), core: rest },
  };
  return { known, after };
}

/** Lamp readings from their differences; `before` holds the readings they differ from. */
function readLamps(text: string, before: number[]): number[] {
  const lamps: number[] = [];
  for (let at = 0; at < text.length; at++) {
    const by = DIGITS.indexOf(text.charAt(at));
    if (by < 63) lamps.push((before[lamps.length] ?? 0) + by - 31);
    else {
      lamps.push(threeDigits(text, at + 1) - 32768);
      at += 3;
    }
  }
  return lamps;
}

const TURN = /^(\d+)(?:s(\d+))?p?(w?)(f?)(?::([A-Za-z0-9_-]*))?$/;
const MESSAGE = /^(\d+)(?:([or])|a(-?[\dm]+),(\d+))$/;
const OWN = /^(\d+)([kqx])(-?\d+)$/;

class Events {
  readonly given: Given[] = [];
  private lamps: number[] = [];

  constructor(
    private ms: number,
    private readonly orders: OrderRecord[],
    private readonly refusals: OrderRecord[],
  ) {}

  read(token: string): void {
    const turn = TURN.exec(token);
    const message = turn ? null : MESSAGE.exec(token);
    const own = OWN.exec(token);
    const found = turn ?? message ?? own;
    if (!found)
      throw new TraceError(`The trace holds "${token}", which is nothing that a controller takes down.`);
    this.ms += Number(found[1]);
    if (turn) this.readTurn(turn);
    else if (own) this.readOwn(own);
    else this.readMessage(found);
  }

  private readTurn([, , bits, wrote, inVain, lamps]: RegExpExecArray): void {
    if (lamps !== undefined) this.lamps = readLamps(lamps, this.lamps);
    this.given.push({
      ...{ ms: this.ms, what: 'turn', wrote: wrote !== '', inVain: inVain !== '' },
      ...(bits !== undefined && { bits: Number(bits) }),
      ...(lamps !== undefined && { lamps: this.lamps }),
    });
  }

  private readOwn([, , mark, value]: RegExpExecArray): void {
    const whats = Object.keys(OWN_MARKS) as OwnGiven['what'][];
    const what = whats.find((one) => OWN_MARKS[one] === mark) as OwnGiven['what'];
    this.given.push({ ms: this.ms, what, value: Number(value) });
  }

  private readMessage([, , what, off, age]: RegExpExecArray): void {
    const { ms } = this;
    if (what === undefined) {
      this.given.push({ ms, what: 'answer', off: wholeOf(off), age: Number(age) });
      return;
    }
    const record = what === 'o' ? this.orders.shift() : this.refusals.shift();
    // The last order may have arrived when the trace ended, before its record was written.
    if (record) this.given.push({ ms, what: what === 'o' ? 'order' : 'refusal', record });
  }
}

/** The parts of the newest trace that has events, from its settings on; undefined when there is none. */
function newestParts(parts: TraceRecord[]): TraceRecord[] | undefined {
  const first = parts.findLastIndex((p) => p.text.startsWith('='));
  if (first < 0) return undefined;
  const begin = parts.findLastIndex((p, i) => i < first && p.text.startsWith('!'));
  if (begin < 0) return undefined;
  const end = parts.findIndex((p, i) => i > first && /^[!l=p]/.test(p.text));
  return parts.slice(begin, end < 0 ? undefined : end);
}

/**
 * Reads the newest trace among a controller's records.
 * @param texts the records as they were signed, oldest first
 * @throws TraceError in one sentence when there is none, or a part of it is missing
 */
export function readTrace(texts: string[]): Trace {
  const records = texts.map((text) => ({ text, record: JSON.parse(text) as AnyRecord }));
  const isPart = (r: AnyRecord): r is TraceRecord => r.kind === 'trace';
  const parts = newestParts(records.map((r) => r.record).filter(isPart));
  if (!parts)
    throw new TraceError(
      'There is no trace of a test among these records: order one and wait for the next test.',
    );
  parts.forEach((p, i) => {
    if (p.part !== parts[0].part + i)
      throw new TraceError(`Part ${parts[0].part + i + 1} of the trace is missing among these records.`);
  });
  const { known, after } = readKnown(parts.map((p) => p.text));
  const last = parts[parts.length - 1];
  const told = records.filter(
    ({ record }) => record.seq > after && record.seq <= last.seq && record.journal === last.journal,
  );
  const of = (kind: string) =>
    told.flatMap(({ record }) => (record.kind === kind ? [record as OrderRecord] : []));
  // Refusals at the door name no wish; the core's own, of a test it called off, come out of the replay itself.
  const refusals = of('refused').filter((r) => r.do === 0);
  const events = new Events(known.now, of('order'), refusals);
  const first = parts.findIndex((p) => p.text.startsWith('='));
  const tokens = parts.slice(first).flatMap((p) => p.text.split(' ').slice(0, -1));
  for (const token of tokens.slice(1)) events.read(token);
  return {
    ...{ known, given: events.given, part: parts[first].part, firstToken: tokens[0] },
    ...{ left: parts[first].left + parts[first].text.length, isWhole: last.left === 0 },
    bodies: told.map(({ text }) => bodyOf(text)),
  };
}
