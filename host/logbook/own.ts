// What a log book writes itself, so that its tree covers all that it keeps: signed texts that could not be filed as
// records, orders as they are given, and their answers. These entries carry no signature: checkpoints sign them.
import { WIRE_VERSION } from '../../firmware/contract/limits';
import type { Evidence, OrderRow } from './logbook';

/** Journals at a controller's address in which only the log book writes; no record from the wire may name one. */
export const KEPT = 'kept';
export const ORDERS = 'orders';

export function isOwnJournal(journal: string): boolean {
  return journal === KEPT || journal === ORDERS;
}

/** Most texts of one controller that are kept apart: a stolen one must not fill the disk. */
export const KEPT_MAX = 1000;

/** A text kept apart; `of` is the journal and number it came under. */
export interface KeptBody {
  kind: 'kept';
  of: string;
  why: string;
  text: string;
}

export interface OrderedBody extends Pick<OrderRow, 'counter' | 'do' | 'arg' | 'who'> {
  kind: 'ordered';
  /** The account of who signed in to give it; left out where nobody has to sign in. */
  account?: string;
}

export interface AnsweredBody extends Pick<OrderRow, 'counter' | 'answer'> {
  kind: 'answered';
}

export type OwnBody = KeptBody | OrderedBody | AnsweredBody;

export const OWN_KINDS: readonly OwnBody['kind'][] = ['kept', 'ordered', 'answered'];

/** The text of an entry of the log book's own; `at` is a UTC second. */
export function ownText(journal: string, seq: number, prev: string, at: number, body: OwnBody): string {
  const { kind, ...fields } = body;
  return JSON.stringify({ v: WIRE_VERSION, journal, seq, prev, utc: at, kind, ...fields });
}

export function keptBody({ journal, seq, why, body }: Omit<Evidence, 'at' | 'address'>): KeptBody {
  return { kind: 'kept', of: `${journal} ${seq}`, why, text: body };
}

/** What an entry of the log book's own says; undefined if it is none, or cannot be read. */
export function readOwn(entry: { journal: string; body: string }): OwnBody | undefined {
  if (!isOwnJournal(entry.journal)) return undefined;
  try {
    return JSON.parse(entry.body) as OwnBody;
  } catch {
    return undefined;
  }
}
