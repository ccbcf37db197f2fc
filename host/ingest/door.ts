// The only way in: topic, size, characters, signature, shape, in this order, each refusal with its name.
import type { z } from 'zod';
import { Limit } from '../../firmware/contract/limits';
import type {
  AnyRecord,
  LiveMessage,
  PresenceMessage,
  ReplyMessage,
  StateMessage,
} from '../../firmware/contract/messages';
import { hasValidSignature } from '../../firmware/contract/signature';
import { isUpKind, readTopic, type UpKind } from '../../firmware/contract/topics';
import type { KeyRing } from '../keys';
import { isOwnJournal } from '../logbook/own';
import {
  baseSchema,
  isLink,
  liveSchema,
  presenceSchema,
  recordSchema,
  replySchema,
  stateSchema,
} from '../records/schema';
import { readStrictly } from '../records/strict';

/** Why a message was refused. */
export type Refusal =
  | 'topic'
  | 'unknown controller'
  | 'size'
  | 'unreadable'
  | 'signature'
  | 'shape'
  | 'replayed';

/** What a record is filed under. */
export interface RecordHead {
  journal: string;
  seq: number;
  utc: number;
  kind: string;
  prev: string;
}

export interface AdmittedRecord {
  kind: 'record';
  address: string;
  text: string;
  message: RecordHead;
  /** Undefined if its kind or version is unknown to this host. */
  record: AnyRecord | undefined;
}

/** A record its controller has signed, but that not every reader would read alike. */
export interface UnfitRecord {
  kind: 'unfit';
  address: string;
  text: string;
}

export type Admitted =
  | AdmittedRecord
  | UnfitRecord
  | { kind: 'state'; address: string; text: string; message: StateMessage }
  | { kind: 'live'; address: string; text: string; message: LiveMessage }
  | { kind: 'reply'; address: string; text: string; message: ReplyMessage }
  | { kind: 'presence'; address: string; text: string; message: PresenceMessage };

const PRINTABLE = /^[\x20-\x7e]+$/;

const SCHEMAS: Record<Exclude<UpKind, 'record'>, z.ZodType> = {
  state: stateSchema,
  live: liveSchema,
  reply: replySchema,
  presence: presenceSchema,
};

/** A record as it is filed; what a door and a log book would read differently is not. */
function readSigned(address: string, text: string, isUnderstood: boolean): AdmittedRecord | UnfitRecord {
  const value = readStrictly(text);
  const record = isUnderstood ? recordSchema.safeParse(value).data : undefined;
  // A record that is understood has all that any must have; only the form of its link is looked at here.
  const message = record && isLink(record.prev) ? record : baseSchema.safeParse(value).data;
  if (!message || isOwnJournal(message.journal)) return { kind: 'unfit', address, text };
  return { kind: 'record', address, text, message, record };
}

/**
 * Checks one message as it came from the broker.
 * @param isUnderstood false if nobody asks for more of a record than how it is filed
 */
export function admit(
  topic: string,
  payload: Buffer | string,
  keys: KeyRing,
  known: (address: string) => boolean,
  isUnderstood = true,
): Admitted | Refusal {
  const parts = readTopic(topic);
  if (!parts || !isUpKind(parts.kind)) return 'topic';
  const { address, kind } = parts;
  if (!known(address)) return 'unknown controller';
  if (payload.length === 0 || payload.length > Limit.PacketBytes) return 'size';
  const text = typeof payload === 'string' ? payload : payload.toString('latin1');
  if (!PRINTABLE.test(text)) return 'unreadable';
  const signed = kind !== 'live' && kind !== 'presence';
  if (signed && !hasValidSignature(keys.keyOf(address), kind, address, text)) return 'signature';
  if (kind === 'record') return readSigned(address, text, isUnderstood);
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return 'unreadable';
  }
  const parsed = SCHEMAS[kind].safeParse(value);
  if (!parsed.success) return 'shape';
  return { kind, address, text, message: parsed.data } as Admitted;
}
