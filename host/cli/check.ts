import { profileFor } from '../profiles/profile';
import { formatMistake, loadSite } from '../site/load';
import { owedFullTests } from '../site/owed';

/** Mistakes told at once: a file that is no site file at all has one in every line. */
const SHOWN_MAX = 20;

function count(number: number, noun: string): string {
  return `${number} ${noun}${number === 1 ? '' : 's'}`;
}

/**
 * Checks a site file: one sentence per mistake on stderr, or what was found on stdout.
 * @returns the exit code, 0 or 1
 */
export function checkCommand(file: string): number {
  const result = loadSite(file);
  if ('mistakes' in result) {
    for (const mistake of result.mistakes.slice(0, SHOWN_MAX))
      process.stderr.write(`${formatMistake(mistake)}\n`);
    const more = result.mistakes.length - SHOWN_MAX;
    if (more > 0) process.stderr.write(`${file}: and ${count(more, 'more mistake')}; mend these first.\n`);
    return 1;
  }
  const { site } = result;
  const { circuits } = site;
  const luminaires = circuits.reduce((sum, circuit) => sum + circuit.luminaires.length, 0);
  process.stdout.write(
    `${file}: ${count(circuits.length, 'circuit')}, ${count(luminaires, 'luminaire')}: no mistakes\n`,
  );
  for (const sentence of owedFullTests(site, profileFor(site))) process.stdout.write(`${sentence}\n`);
  return 0;
}
