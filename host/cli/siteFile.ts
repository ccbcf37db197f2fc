// Reads the site file that a command is given. Apart from arguments.ts, because what reads it takes longer to load
// than all the rest of the command line.
import { formatMistake, loadSite } from '../site/load';
import type { Site } from '../site/model';
import { Mistake } from './mistake';

/** @throws Mistake with a sentence for each mistake in the file */
export function readSite(file: string): Site {
  const loaded = loadSite(file);
  if ('site' in loaded) return loaded.site;
  throw new Mistake(loaded.mistakes.map(formatMistake).join('\n'));
}
