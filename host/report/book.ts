// What stands behind a report: the root of the log book's tree, who signed it, and how far the log book reaches.
import { z } from 'zod';
import type { DefectSources } from '../house/view/defects';
import type { StoredCheckpoint } from '../logbook/checkpoints';
import type { Logbook } from '../logbook/logbook';
import { toBase64 } from '../proof/bytes';
import { signedHead } from '../proof/checkpoint';
import { readSignatures } from '../proof/note';
import { localDate } from '../site/civil';
import type { Site } from '../site/model';
import { momentWord } from '../words/when';
import type { Deviation } from './findings';
import type { Gathered } from './gather';
import type { Period } from './period';

export interface BookState {
  /** Entries of the log book when the report was made, and the root over all of them, base64. */
  size: number;
  root: string;
  /** Public key of the host, as verifiers take it. */
  key: string;
  checkpoint: CheckpointState | undefined;
}

export interface CheckpointState {
  size: number;
  /** UTC second. */
  at: number;
  /** Base64. */
  root: string;
  /** Names of those that signed it beside the host. */
  witnesses: string[];
  stored: StoredCheckpoint;
  /** The log book still begins with what was signed. */
  isTrue: boolean;
}

export async function bookState(
  logbook: Pick<Logbook, 'tree' | 'checkpoints'>,
  size: number,
  key: string,
): Promise<BookState> {
  const root = toBase64(await logbook.tree.root(size));
  const all = await logbook.checkpoints.all();
  const stored = all.findLast((one) => one.size <= size);
  if (!stored) return { size, root, key, checkpoint: undefined };
  const head = signedHead(stored.text);
  const signed = toBase64(head.root);
  const witnesses = stored.cosignatures.flatMap((line) => readSignatures(line).map(({ name }) => name));
  const isTrue = toBase64(await logbook.tree.root(head.size)) === signed;
  return {
    size,
    root,
    key,
    checkpoint: { size: head.size, at: stored.at, root: signed, witnesses, stored, isTrue },
  };
}

const heardSchema = z.record(z.string(), z.object({ at: z.number(), silent: z.number().default(0) }));

/** Longest silence that is no deviation, s: every controller reports many times a day. */
const SILENT_SEC = 86_400;

/** When each controller was last heard, as the host remembers it: UTC seconds by address. */
async function heardList(logbook: Pick<Logbook, 'memory'>): Promise<Map<string, number>> {
  const text = (await logbook.memory.all()).get('heard');
  try {
    const heard = heardSchema.parse(JSON.parse(text ?? '{}'));
    return new Map(Object.entries(heard).map(([address, { at }]) => [address, at]));
  } catch {
    // Nothing readable is remembered: then nobody is known to have been heard.
    return new Map();
  }
}

/** Entries further ahead of this host's clock than this show that one of the clocks is wrong, s. */
const AHEAD_SEC = 3600;

export interface BookOptions {
  site: Site;
  period: Period;
  logbook: Pick<Logbook, 'memory'>;
  /** What the controllers of a running host last reported; without it nobody knows who is heard. */
  contacts?: DefectSources['contacts'];
  /** The controllers are simulated. */
  simulated: boolean;
  found: Gathered;
  /** UTC second. */
  now: number;
}

/** What is said of a circuit of which nothing has come for a day. @param last UTC second, 0 never */
function silent({ site, period, contacts }: BookOptions, circuit: string, last: number): Deviation {
  const one = { what: 'circuit silent' as const, circuit, luminaires: [], closedAt: 0, entry: 0 };
  if (last === 0) {
    const text =
      'The controller of this circuit has never been heard, and the log book holds no record of it.';
    return { ...one, at: period.fromSec, text };
  }
  const since = momentWord(last, site.timeZone);
  if (contacts) return { ...one, at: last, text: `Nothing heard of the controller since ${since}.` };
  const text =
    `Newest record ${since}; a healthy controller may write nothing for days. Whether it is heard, only the running ` +
    'host knows: make the report on its page.';
  return { ...one, at: last, isUnknown: true, text };
}

/**
 * Circuits whose controllers have not been heard for a day, as far as that concerns the period; without a running host
 * nobody knows that, and each says so.
 */
export async function silentCircuits(
  o: BookOptions,
  lastRecord: ReadonlyMap<string, number>,
): Promise<Deviation[]> {
  const heard = await heardList(o.logbook);
  const present = new Map(o.contacts?.map((one) => [one.circuit, one]));
  return o.site.circuits.flatMap(({ id }): Deviation[] => {
    const contact = present.get(id);
    if (contact?.contact === 'reporting' || contact?.contact === 'late') return [];
    // A record that came proves as much as a report.
    const times = [heard.get(`${o.site.id}/${id}`), lastRecord.get(id), contact?.heardAt];
    const last = Math.max(...times.map((time) => time ?? 0));
    return last >= o.period.toSec || o.now - last < SILENT_SEC ? [] : [silent(o, id, last)];
  });
}

/** What speaks against the log book itself, or shows that it does not cover the period. */
export function bookDeviations(
  { site, period, found, now, simulated }: BookOptions,
  book: BookState,
): Deviation[] {
  const of = (text: string, entry = 0, at = found.ends): Deviation => ({
    ...{ what: 'log book', circuit: '', luminaires: [], at, closedAt: 0, entry, text },
  });
  const faults = found.faults.listed.map(({ why, entry, said, part }) => {
    const one = of(`${part}: ${why}`, entry);
    return said ? { ...one, closedAt: one.at } : one;
  });
  const counted = Object.values(found.faults.counts).reduce((sum, n) => sum + n, 0) + found.faults.said;
  const more = counted - faults.length;
  if (more > 0) faults.push(of(`And ${more} more faults of the log book; "logbook verify" counts them.`));
  if (found.entries === 0) faults.push(of('The log book is empty.', 0, period.fromSec));
  else if (localDate(site.timeZone, found.begins) > period.from)
    faults.push(
      of(
        `The log book begins on ${momentWord(found.begins, site.timeZone)}: nothing before that is known.`,
        ...([1, period.fromSec] as const),
      ),
    );
  if (found.ends > now + AHEAD_SEC)
    faults.push({
      ...of(
        `Entries have times up to ${momentWord(found.ends, site.timeZone)}, after this report was made: ${simulated ? 'the simulation went on past today' : 'a clock is wrong'}.`,
      ),
      what: 'clock',
    });
  if (book.checkpoint && !book.checkpoint.isTrue)
    faults.push(of('The log book no longer begins with the entries under its newest signed checkpoint.'));
  return faults;
}
