import { readPast } from '../house/past';
import { profileFor } from '../profiles/profile';
import { localDate } from '../site/civil';
import { formatMistake, loadSite } from '../site/load';
import type { Circuit, Site } from '../site/model';
import { owedFullTests } from '../site/owed';
import { withLogbook } from './baseline';

/** Most mistakes shown: a file that is no site file at all has one on every line. */
const SHOWN_MAX = 20;

function count(number: number, noun: string): string {
  return `${number} ${noun}${number === 1 ? '' : 's'}`;
}

/** How a circuit's lamps are read if that is not by the controller's converter, one line. */
function busLines({ id, luminaires, bus }: Circuit): string[] {
  if (!bus) return [];
  const places = luminaires.map((lamp) => `${lamp.id} ${lamp.module!.address}/${lamp.module!.register}`);
  return [
    `Circuit "${id}": ${count(luminaires.length, 'luminaire')} read by current modules on a bus, which needs a ` +
      `board with a bus; luminaire, module/register: ${places.join(', ')}`,
  ];
}

/** Luminaires judged by currents other than the file's, one line each. */
async function acceptedLines(site: Site, db: string): Promise<string> {
  const past = await withLogbook(db, (logbook, keys) => readPast(logbook, site, keys));
  const lines = site.circuits.flatMap((circuit) =>
    [...past.notes.of(circuit.id).accepted].map(([id, { battery, mains, who, at }]) => {
      const currents = `${battery} mA on battery${mains > 0 ? `, ${mains} mA on mains` : ''}`;
      return `${id}: in use ${currents}, accepted ${localDate(site.timeZone, at)} by ${who}\n`;
    }),
  );
  return lines.length > 0 ? lines.join('') : 'The lamp currents in use are those of the site file.\n';
}

/**
 * Checks a site file: one sentence per mistake on stderr, or a summary on stdout.
 * @param db log book to look up accepted lamp currents in
 * @returns the exit code, 0 or 1
 */
export async function checkCommand(file: string, db?: string): Promise<number> {
  const result = loadSite(file);
  if ('mistakes' in result) {
    for (const mistake of result.mistakes.slice(0, SHOWN_MAX))
      process.stderr.write(`${formatMistake(mistake)}\n`);
    const more = result.mistakes.length - SHOWN_MAX;
    if (more > 0) process.stderr.write(`${file}: and ${count(more, 'more mistake')}; correct these first.\n`);
    return 1;
  }
  const { site } = result;
  const { circuits } = site;
  const luminaires = circuits.reduce((sum, circuit) => sum + circuit.luminaires.length, 0);
  process.stdout.write(
    `${file}: ${count(circuits.length, 'circuit')}, ${count(luminaires, 'luminaire')}: no mistakes\n`,
  );
  for (const line of circuits.flatMap((circuit) => busLines(circuit))) process.stdout.write(`${line}\n`);
  for (const sentence of owedFullTests(site, profileFor(site))) process.stdout.write(`${sentence}\n`);
  if (db !== undefined) process.stdout.write(await acceptedLines(site, db));
  return 0;
}
