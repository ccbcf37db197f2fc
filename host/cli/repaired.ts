// `repaired`: enters a repair, so that the luminaire is tested again soon.
import { REMARK_MAX } from '../api/defects';
import type { RepairPart } from '../api/views';
import { nowSec, systemClock } from '../clock';
import { writeNote } from '../house/notes/notes';
import {
  changesFeed,
  partWords,
  type RepairFields,
  repairWords,
  retestAfter,
  retestOf,
} from '../house/notes/repairs';
import { readPast } from '../house/past';
import type { Circuit, Site } from '../site/model';
import { CAUTION } from '../words/caution';
import { tidyText, unfit } from '../words/freeText';
import { nameOf, withLogbook } from './baseline';
import { luminaireOf } from './named';

/** The parts that can be named, as on the page. */
const PARTS: Record<'battery' | 'lamp' | 'driver' | 'luminaire' | 'other', RepairPart> = {
  battery: 'battery',
  lamp: 'lamp',
  driver: 'driver or charger',
  luminaire: 'whole luminaire',
  other: 'other',
};

export interface RepairedOptions {
  site: Site;
  db: string;
  luminaire: string[];
  who: string;
  part: keyof typeof PARTS;
  /** In a person's own words; '' for those of the part. */
  what: string;
  retest?: 'brief' | 'full';
}

/** The circuits of the luminaires, each with its own. @throws Error that names an unknown one. */
function byCircuit(site: Site, ids: string[]): Map<Circuit, string[]> {
  const found = new Map<Circuit, string[]>();
  for (const id of new Set(ids)) {
    const { circuit, luminaire } = luminaireOf(site, id);
    found.set(circuit, [...new Set([...(found.get(circuit) ?? []), luminaire.id])]);
  }
  return found;
}

/**
 * Writes the repair into the log book; a running host plans the test owed after it.
 * @returns the exit code. @throws Error with one sentence for a mistake.
 */
export async function repairedCommand(o: RepairedOptions): Promise<number> {
  const { site, db, luminaire, who, what, retest } = o;
  const part = PARTS[o.part];
  const name = nameOf(who);
  const done = tidyText(what);
  const why = unfit(done, REMARK_MAX);
  if (why !== '') throw new Error(`What was done, --what, ${why}.`);
  if (retest === 'brief' && changesFeed(part))
    throw new Error(
      'After a change of battery, lamp, driver or charger a duration test is owed: leave out --retest brief.',
    );
  const circuits = byCircuit(site, luminaire);
  const at = nowSec(systemClock);
  const lines = await withLogbook({ site, db }, async (logbook, keys) => {
    const { history } = await readPast(logbook, site, keys);
    const written: string[] = [];
    for (const [circuit, ids] of circuits) {
      const { failedLong } = history.of(circuit.id);
      const kind = retest ? retestOf(circuit, retest) : retestAfter(circuit, failedLong, ids, part);
      const fields: RepairFields = {
        luminaires: ids.join(' '),
        what: done || partWords(part),
        part,
        retest: kind,
      };
      const address = `${site.id}/${circuit.id}`;
      await writeNote(logbook, keys, { address, kind: 'repaired', at, who: name, fields });
      written.push(`${name} ${repairWords(fields, at, site.timeZone)}`);
    }
    return written;
  });
  process.stdout.write(
    `${lines.join('\n')}\nA running host plans the test within a minute or two and shows the date.\n${CAUTION}\n`,
  );
  return 0;
}
