// Takes what a person has looked at: writes it into the log book once, however often it is sent, applies it to the
// state, and answers.
import type { InspectionOutcome } from '../api/duties';
import { dutiesOf } from '../duties/duties';
import type { KeyRing } from '../keys';
import type { Entry, Logbook } from '../logbook/logbook';
import type { Site } from '../site/model';
import { momentWord } from '../words/when';
import { decideInspection, type InspectionWish, siteNotes, TOO_EARLY } from './notes/inspected';
import { isWritten, writeOnce } from './notes/notes';

export interface InspectionOptions {
  site: Site;
  logbook: Pick<Logbook, 'appendNext' | 'lastOf'>;
  keys: KeyRing;
  /** The account of who signed in to send it. */
  signed?: { account?: string };
  /** Applies a new log book entry to the house; it never rejects. */
  apply(entry: Entry): Promise<void>;
}

/** For good, unless nothing is wrong but the time: then the host's own clock may be behind. */
function refusal(id: string, why: readonly string[], clock: string): InspectionOutcome {
  const refused = why.some((one) => one !== TOO_EARLY);
  const answer = `That time has not come yet: the clock of the host says ${clock}.`;
  return { ok: false, id, refused, answer: refused ? why.join(' ') : answer };
}

/**
 * Enters an inspection. It says "ok" only once the log book has it, and also if the log book had it before: whoever
 * sent it may then forget it. It never rejects.
 * @param now UTC second
 */
export async function enterInspection(
  { site, logbook, keys, apply, signed }: InspectionOptions,
  wish: InspectionWish,
  now: number,
): Promise<InspectionOutcome> {
  const { id } = wish;
  const before: InspectionOutcome = { ok: true, id, refused: false, answer: 'The log book has it already.' };
  try {
    // First, because the site file may have changed since it was stored.
    if (await isWritten(logbook, siteNotes(site), id)) return before;
    const decided = decideInspection(site, dutiesOf(site), wish, now);
    if ('refusals' in decided) return refusal(id, decided.refusals, momentWord(now, site.timeZone));
    const entry = await writeOnce(logbook, keys, { ...decided.note, ...signed }, id);
    if (!entry) return before;
    await apply(entry);
    return { ok: true, id, refused: false, answer: `The log book has it as entry ${entry.entry}.` };
  } catch (error) {
    return { ok: false, id, refused: false, answer: `It is not stored. ${(error as Error).message}` };
  }
}
