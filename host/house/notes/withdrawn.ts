// Withdrawing what somebody entered by mistake: the entry stays in the log book, and what it did ends. Only what
// nobody can put right by entering it again can be withdrawn.
import { REMARK_MAX } from '../../api/defects';
import type { KeyRing } from '../../keys';
import { type Entry, type Logbook, LogbookError } from '../../logbook/logbook';
import type { Site } from '../../site/model';
import { tidyText, unfit } from '../../words/freeText';
import { isWho, NAME_RULE } from '../../words/person';
import { dayWord } from '../../words/when';
import { INSPECTION } from './inspected';
import {
  aboutOf,
  type Decision,
  isNoteAddress,
  type NewNote,
  type NoteKind,
  signedNote,
  writeOnce,
} from './notes';

export const WITHDRAWN = 'withdrawn';

export interface WithdrawnFields {
  /** Number of the entry that no longer counts. */
  withdraws: number;
  why: string;
}

/** Who withdrew an entry. */
export interface Withdrawal extends WithdrawnFields {
  /** Number of its own entry in the log book. */
  entry: number;
  who: string;
  /** UTC second. */
  at: number;
}

const WITHDRAWABLE: readonly NoteKind[] = ['repaired', INSPECTION];

export function isWithdrawable({ kind, address }: Pick<Entry, 'kind' | 'address'>): boolean {
  return isNoteAddress(address) && WITHDRAWABLE.some((one) => one === kind);
}

/** The withdrawal in an entry of that kind; undefined if it is none, or this host did not write it. */
export function signedWithdrawal(keys: KeyRing, entry: Entry): Withdrawal | undefined {
  if (entry.kind !== WITHDRAWN) return undefined;
  const note = signedNote<WithdrawnFields>(keys, entry);
  return note && { ...note.fields, entry: note.entry, who: note.who, at: note.at };
}

export interface WithdrawalWish {
  site: Pick<Site, 'id' | 'timeZone'>;
  keys: KeyRing;
  number: number;
  /** The entry of that number; undefined if the log book has none. */
  entry: Entry | undefined;
  /** Who withdrew it before. */
  before: Withdrawal | undefined;
  who: string;
  why: string;
  /** UTC second. */
  now: number;
}

function entryRefusal({ site, keys, number, entry, before }: WithdrawalWish): string {
  if (!entry) return `The log book has no entry ${number}.`;
  if (!isWithdrawable(entry) || !aboutOf(entry.address).startsWith(`${site.id}/`))
    return `Entry ${number} is no repair and no inspection of this site: nothing else can be withdrawn.`;
  if (!signedNote(keys, entry))
    return `Entry ${number} lacks the signature of this host, and counts for nothing.`;
  return before
    ? `Entry ${number} was withdrawn before, by ${before.who} on ${dayWord(before.at, site.timeZone)}.`
    : '';
}

export type WithdrawalNote = NewNote & { fields: WithdrawnFields };

/** The note to write, or why not, one sentence each. */
export function decideWithdrawal(wish: WithdrawalWish): Decision<WithdrawalNote> {
  const [who, why] = [wish.who, wish.why].map(tidyText);
  const wrong = unfit(why, REMARK_MAX);
  const refusals = [
    entryRefusal(wish),
    isWho(who) ? '' : `Give your name, ${NAME_RULE}: the log book records who withdrew it.`,
    why === '' ? 'Say why it is withdrawn.' : wrong === '' ? '' : `The reason ${wrong}.`,
  ].filter((sentence) => sentence !== '');
  if (refusals.length > 0) return { refusals };
  const fields: WithdrawnFields = { withdraws: wish.number, why };
  const address = aboutOf(wish.entry!.address);
  return { note: { address, kind: WITHDRAWN, at: wish.now, who, fields } };
}

/**
 * Writes it, durable on return.
 * @returns the entry it made
 * @throws LogbookError with one sentence if the entry was withdrawn since the decision, or the log book cannot take it
 */
export async function writeWithdrawal(
  logbook: Pick<Logbook, 'appendNext' | 'lastOf'>,
  keys: KeyRing,
  note: WithdrawalNote,
): Promise<Entry> {
  const { withdraws } = note.fields;
  // No inspection can have an id with this sign.
  const entry = await writeOnce(logbook, keys, note, `withdraws_${withdraws}`);
  if (!entry) throw new LogbookError(`Entry ${withdraws} was withdrawn before.`);
  return entry;
}

/** As it follows the name of who did: "withdrew entry 12: wrong luminaire." */
export function withdrawalWords({ withdraws, why }: WithdrawnFields): string {
  return `withdrew entry ${withdraws}: ${why.replace(/\.$/, '')}.`;
}

/** What stands behind a withdrawn entry: "Withdrawn on Tue 6 Jan 2026 by Anna (entry 14): wrong luminaire." */
export function withdrawnWords({ entry, who, at, why }: Withdrawal, zone: string): string {
  return `Withdrawn on ${dayWord(at, zone)} by ${who} (entry ${entry}): ${why.replace(/\.$/, '')}.`;
}

/** All withdrawals of a site, by the entry that no longer counts. */
export class Withdrawals {
  private readonly all: Map<number, Withdrawal>;

  constructor(
    private readonly keys: KeyRing,
    from: readonly Withdrawal[] = [],
  ) {
    this.all = new Map(from.map((one) => [one.withdraws, one]));
  }

  /** A note, in log book order. */
  take(entry: Entry): void {
    const found = signedWithdrawal(this.keys, entry);
    if (found && !this.all.has(found.withdraws)) this.all.set(found.withdraws, found);
  }

  of(entry: number): Withdrawal | undefined {
    return this.all.get(entry);
  }

  state(): Withdrawal[] {
    return [...this.all.values()];
  }
}
