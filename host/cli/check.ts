import { formatMistake, loadSite } from '../site/load';

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
    for (const mistake of result.mistakes) process.stderr.write(`${formatMistake(mistake)}\n`);
    return 1;
  }
  const { circuits } = result.site;
  const luminaires = circuits.reduce((sum, circuit) => sum + circuit.luminaires.length, 0);
  process.stdout.write(
    `${file}: ${count(circuits.length, 'circuit')}, ${count(luminaires, 'luminaire')}: no mistakes\n`,
  );
  return 0;
}
