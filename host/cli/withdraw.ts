// `withdraw`: says that a repair or an inspection was entered by mistake.
import { nowSec, systemClock } from '../clock';
import { entryOf } from '../house/notes/notes';
import { decideWithdrawal, withdrawalWords, writeWithdrawal } from '../house/notes/withdrawn';
import { readPast } from '../house/past';
import type { Site } from '../site/model';
import { Mistake } from './arguments';
import { withLogbook } from './baseline';

export interface WithdrawOptions {
  site: Site;
  db: string;
  /** Number of the entry in the log book. */
  entry: number;
  who: string;
  why: string;
}

/** @returns the exit code. @throws Error with one sentence if nothing is withdrawn. */
export async function withdrawCommand({
  site,
  db,
  entry: number,
  who,
  why,
}: WithdrawOptions): Promise<number> {
  const text = await withLogbook({ site, db }, async (logbook, keys) => {
    const { withdrawals } = await readPast(logbook, site, keys);
    const decision = decideWithdrawal({
      ...{ site, keys, number, who, why, now: nowSec(systemClock) },
      ...{ entry: await entryOf(logbook, number), before: withdrawals.of(number) },
    });
    if ('refusals' in decision) throw new Mistake(decision.refusals.join(' '));
    const { note } = decision;
    await writeWithdrawal(logbook, keys, note);
    return `${note.who} ${withdrawalWords(note.fields)}`;
  });
  process.stdout.write(`${text}\n`);
  return 0;
}
