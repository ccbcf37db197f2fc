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
import {
  baseSchema,
  liveSchema,
  presenceSchema,
  recordSchema,
  replySchema,
  stateSchema,
} from '../records/schema';

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

export type Admitted =
  | AdmittedRecord
  | { kind: 'state'; address: string; text: string; message: StateMessage }
  | { kind: 'live'; address: string; text: string; message: LiveMessage }
  | { kind: 'reply'; address: string; text: string; message: ReplyMessage }
  | { kind: 'presence'; address: string; text: string; message: PresenceMessage };

const PRINTABLE = /^[\x20-\x7e]+$/;

const SCHEMAS: Record<UpKind, z.ZodType> = {
  record: baseSchema,
  state: stateSchema,
  live: liveSchema,
  reply: replySchema,
  presence: presenceSchema,
};

/** Checks one message as it came from the broker. */
export function admit(
  topic: string,
  payload: Buffer | string,
  keys: KeyRing,
  known: (address: string) => boolean,
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
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return 'unreadable';
  }
  const parsed = SCHEMAS[kind].safeParse(value);
  if (!parsed.success) return 'shape';
  const admitted = { kind, address, text, message: parsed.data };
  if (kind === 'record') return { ...admitted, record: recordSchema.safeParse(value).data } as AdmittedRecord;
  return admitted as Admitted;
}
