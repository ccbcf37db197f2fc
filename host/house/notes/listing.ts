// The host's notes on whom each revision of the settings describes; see rows/listed.ts.
import { setImmediate as nextTurn } from 'node:timers/promises';
import type { KeyRing } from '../../keys';
import type { Entry, Logbook } from '../../logbook/logbook';
import type { Site } from '../../site/model';
import type { Listed, ListedFields } from '../rows/listed';
import { type NewNote, writeNotes } from './notes';

/** Who writes these notes. */
const WHO = 'Nightproof host';

/** The note on one revision of a circuit's settings. */
export function listNote(site: Site, circuit: string, revision: number, at: number): NewNote {
  const ids = site.circuits.find(({ id }) => id === circuit)!.luminaires.map(({ id }) => id);
  const fields: ListedFields = { revision, luminaires: ids.join(' ') };
  return { address: `${site.id}/${circuit}`, kind: 'listed', at, who: WHO, fields };
}

export interface ListingOptions {
  site: Site;
  logbook: Pick<Logbook, 'appendNextAll'>;
  keys: KeyRing;
  /** Revision of the settings that a circuit's controller is to have; undefined if there are none. */
  revisionOf(circuit: string): number | undefined;
  listed: Listed;
  /** Applies a note just written. */
  take(entry: Entry): void | Promise<void>;
  /** UTC second. */
  now(): number;
}

/** Notes to a transaction: each of its own waits for the disk, and all in one stop the process. */
const SLICE = 500;

/**
 * Notes every revision of settings that the log book has no list of. Until then nobody may send it.
 * @throws LogbookError with one sentence if the log book cannot take a note.
 */
export async function noteLists(o: ListingOptions): Promise<void> {
  const notes = o.site.circuits.flatMap(({ id }) => {
    const revision = o.revisionOf(id);
    return revision === undefined || o.listed(id, revision) ? [] : listNote(o.site, id, revision, o.now());
  });
  for (let i = 0; i < notes.length; i += SLICE) {
    if (i > 0) await nextTurn();
    for (const entry of await writeNotes(o.logbook, o.keys, notes.slice(i, i + SLICE))) await o.take(entry);
  }
}
