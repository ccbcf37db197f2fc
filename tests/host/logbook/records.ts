// Records as a controller writes them, chained and signed, for tests.
import { chainHash, signObject } from '../../../firmware/contract/signature';
import { type KeyRing, seededKeys, sha256 } from '../../../host/keys';
import type { NewRecord } from '../../../host/logbook/logbook';

export const KEYS = seededKeys(1);

export interface Journal {
  /** The next record's text; `fields` go between the common ones and the chain. */
  next(kind: string, fields?: object): string;
  /** The same, in the form the log book stores. */
  record(kind?: string, fields?: object): NewRecord;
}

/** A controller's journal; `utc` of record n is 1,770,000,000 + 60 n. */
export function newJournal(address: string, journal = '0a1b2c3d', keys: KeyRing = KEYS): Journal {
  let seq = 0;
  let prev = '0'.repeat(32);
  const next = (kind: string, fields: object = {}): string => {
    seq++;
    const utc = 1770000000 + 60 * seq;
    const head = { v: 1, journal, seq, boot: 1, utc, clock: 2, kind, ...fields, prev };
    const text = signObject(keys.keyOf(address), 'record', address, head);
    prev = chainHash(sha256, text);
    return text;
  };
  return {
    next,
    record(kind = 'start', fields = { cause: 0, firmware: '0.1.0' }) {
      const body = next(kind, fields);
      const test = (fields as { test?: number }).test ?? 0;
      return { address, journal, seq, kind, test, at: 1770000000 + 60 * seq, body };
    },
  };
}

/** Fields of a result of `lamps` rows, one of them as given. */
export function resultFields(lamps: number[][], more: object = {}): object {
  const whole = {
    plan: 1,
    test: 1,
    type: 1,
    settings: 1,
    started: 1770000000,
    seconds: 90,
    end: 19,
    openMs: 40,
  };
  return { ...whole, restoreMs: 60, lamps, ...more };
}
