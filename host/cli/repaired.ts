// `repaired`: enters what somebody has mended, so that it is tested again soon.
import { nowSec, systemClock } from '../clock';
import { isWho } from '../orders/orders';
import { repairWords, retestKind, retestOf, writeRepair } from '../people/repairs';
import type { Circuit, Site } from '../site/model';
import { nearest } from '../site/nearest';
import { CAUTION } from '../words/caution';
import { nameOf, withLogbook } from './baseline';

export interface RepairedOptions {
  site: Site;
  db: string;
  luminaire: string[];
  who: string;
  what: string;
  retest?: 'brief' | 'full';
}

/** The circuits of the luminaires, each with those of it. @throws Error that names the one that is not there. */
function byCircuit(site: Site, ids: string[]): Map<Circuit, string[]> {
  const found = new Map<Circuit, string[]>();
  for (const id of new Set(ids)) {
    const circuit = site.circuits.find(({ luminaires }) => luminaires.some((lamp) => lamp.id === id));
    if (!circuit) {
      const all = site.circuits.flatMap(({ luminaires }) => luminaires.map((lamp) => lamp.id));
      const like = nearest(id, all);
      throw new Error(
        `The site has no luminaire "${id}"${like ? `; did you mean "${like}"?` : '; give its id in the site file.'}`,
      );
    }
    found.set(circuit, [...(found.get(circuit) ?? []), id]);
  }
  return found;
}

/**
 * Writes the repair into the log book; a running host plans the test that is owed after it.
 * @returns the exit code. @throws Error with one sentence for a mistake.
 */
export function repairedCommand({ site, db, luminaire, who, what, retest }: RepairedOptions): number {
  const name = nameOf(who);
  if (what !== '' && !isWho(what))
    throw new Error(
      'Say with --what in 1 to 40 plain characters, without quotes or backslash, what was done.',
    );
  const circuits = byCircuit(site, luminaire);
  const at = nowSec(systemClock);
  const lines = withLogbook(db, (logbook, keys) =>
    [...circuits].map(([circuit, ids]) => {
      const address = `${site.id}/${circuit.id}`;
      const kind = retest ? retestOf(circuit, retest) : retestKind(logbook, address, circuit, ids);
      const fields = { luminaires: ids.join(' '), what, retest: kind };
      writeRepair(logbook, keys, { address, at, who: name, ...fields });
      return `${name} ${repairWords(fields, at, site.timeZone)}`;
    }),
  );
  process.stdout.write(
    `${lines.join('\n')}\nA running host plans it within a minute or two and says when it is.\n${CAUTION}\n`,
  );
  return 0;
}
