// What a message must look like before it is trusted. Unknown fields are ignored, and codes need only be
// small integers: a newer controller may know reasons this host does not.
import { z } from 'zod';
import { ResultColumn } from '../../firmware/contract/lamps';
import { Limit } from '../../firmware/contract/limits';
import type {
  AnyRecord,
  LiveMessage,
  PresenceMessage,
  RecordBase,
  ReplyMessage,
  StateMessage,
} from '../../firmware/contract/messages';

const code = z.number().int().min(0).max(255);
const count = z.number().int().min(0).max(4294967295);
const milliamps = z.number().int().min(Limit.RailLow).max(Limit.RailHigh);
const journal = z.string().regex(/^[A-Za-z0-9_-]{1,32}$/);
const version = z.literal(1);

export const stateSchema = z.object({
  v: version,
  journal,
  boot: count,
  up: z.number().int().min(0).max(Number.MAX_SAFE_INTEGER),
  utc: count,
  clock: code,
  phase: code,
  reason: code,
  waiting: code,
  bits: code,
  test: count,
  type: code,
  since: count,
  charged: count,
  last: count,
  acked: count,
  settings: count,
  plan: count,
  overdue: count,
  refused: count,
});

export const liveSchema = z.object({
  v: version,
  test: count,
  type: code,
  t: z.number().min(0).max(1e6),
  ma: z.array(milliamps).max(Limit.Luminaires),
  verdict: z.array(code).max(Limit.Luminaires),
});

export const replySchema = z.object({
  v: version,
  counter: count,
  ok: z.union([z.literal(0), z.literal(1)]),
  reason: code,
});

export const presenceSchema = z.object({ v: version, online: z.union([z.literal(0), z.literal(1)]) });

const LINK = /^[0-9a-f]{32}$/;

/** Whether a record's `prev` can be one. */
export function isLink(prev: string): boolean {
  return LINK.test(prev);
}

/** What every record of every version must contain, so that it can be filed and its chain followed. */
export const baseSchema = z.object({
  v: z.number().int().min(1),
  journal,
  seq: count.min(1),
  utc: count,
  kind: z.string().regex(/^[a-z]{1,16}$/),
  prev: z.string().regex(LINK),
});

const base = {
  v: version,
  journal,
  seq: count.min(1),
  boot: count,
  utc: count,
  clock: code,
  prev: z.string(),
  mac: z.string(),
};

/** Whether a whole number lies between two. */
type Within = (value: unknown) => boolean;
const within =
  (low: number, high: number): Within =>
  (value) =>
    Number.isInteger(value) && (value as number) >= low && (value as number) <= high;
const isCode = within(0, 255);
const isCount = within(0, 4294967295);
const isMilliamps = within(Limit.RailLow, Limit.RailHigh);

const lampColumns: { [C in Exclude<ResultColumn, ResultColumn.Count>]: Within } = {
  [ResultColumn.Verdict]: isCode,
  [ResultColumn.Reason]: isCode,
  [ResultColumn.Lit]: isCount,
  [ResultColumn.At5]: isMilliamps,
  [ResultColumn.At60]: isMilliamps,
  [ResultColumn.End]: isMilliamps,
  [ResultColumn.OnMains]: isMilliamps,
};
const columns = Object.values(lampColumns);

function isLampRow(row: unknown): row is number[] {
  return Array.isArray(row) && row.length === columns.length && columns.every((isFit, i) => isFit(row[i]));
}

/** All rows in one step: a schema for each number would be the larger part of the work for a record. */
const lamps = z.custom<number[][]>(
  (rows) => Array.isArray(rows) && rows.length <= Limit.Luminaires && rows.every(isLampRow),
);

export const recordSchema = z.discriminatedUnion('kind', [
  z.object({ ...base, kind: z.literal('start'), cause: count, firmware: z.string().max(32) }),
  z.object({ ...base, kind: z.literal('intent'), plan: count, test: count, type: code }),
  z.object({
    ...base,
    kind: z.literal('result'),
    plan: count,
    test: count,
    type: code,
    settings: count,
    started: count,
    seconds: count,
    end: code,
    openMs: z.number().int().min(-1),
    restoreMs: z.number().int().min(-1),
    guard: code.optional(),
    lamps,
    grid: count.optional(),
    step: count.optional(),
    curves: z.array(z.string().max(64)).max(Limit.Luminaires).optional(),
  }),
  z.object({
    ...base,
    kind: z.enum(['fault', 'cleared', 'outage', 'supply', 'held', 'reminder', 'released', 'overdue']),
    reason: code,
    arg: count,
    plan: count.optional(),
    type: code.optional(),
  }),
  z.object({
    ...base,
    kind: z.enum(['clock', 'chip']),
    reason: code,
    arg: z.number().int().min(-4294967295).max(4294967295),
  }),
  z.object({
    ...base,
    kind: z.literal('charge'),
    reason: code,
    arg: z.number().int(),
    plan: count,
    test: count,
    half: z.number().int().min(-1),
    float: z.number().int().min(-1),
    step: count,
    curve: z.string().max(64),
  }),
  z.object({
    ...base,
    kind: z.enum(['order', 'refused']),
    counter: count,
    do: code,
    arg: count,
    reason: code,
    who: z.string().max(40),
  }),
  z.object({ ...base, kind: z.literal('trace'), part: count, left: count, text: z.string() }),
]);

// The schemas and the contract's types must agree; this fails to compile if they drift apart.
type Same<Given, Wanted> = Given extends Wanted ? true : never;
export type SchemasMatch = [
  Same<z.infer<typeof stateSchema>, StateMessage>,
  Same<z.infer<typeof liveSchema>, LiveMessage>,
  Same<z.infer<typeof replySchema>, ReplyMessage>,
  Same<z.infer<typeof presenceSchema>, PresenceMessage>,
  Same<z.infer<typeof recordSchema>, AnyRecord>,
  Same<Pick<RecordBase, 'journal' | 'seq'>, Pick<z.infer<typeof baseSchema>, 'journal' | 'seq'>>,
];

/** A record's text as the contract's type; undefined if this host does not understand it. */
export function readRecord(body: string): AnyRecord | undefined {
  try {
    const parsed = recordSchema.safeParse(JSON.parse(body));
    return parsed.success ? parsed.data : undefined;
  } catch {
    return undefined;
  }
}
