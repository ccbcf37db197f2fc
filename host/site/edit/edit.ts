// Changes to a site file: from its text to the new text, if the checks of `check` find nothing against it.
import { parseDocument } from 'yaml';
import { type Mistake, parseSite, type Today } from '../load';
import type { Site } from '../model';
import { plainData } from '../plainYaml';
import type { Change } from './change';
import { isSame, Refusal, type SiteData } from './data';
import { type Said, saidOf } from './said';
import { type Step, stepsOf, take } from './steps';
import { stepped } from './text';

export interface Edited {
  text: string;
  data: SiteData;
  site: Site;
  /** What has changed, for the log book. */
  said: Said[];
}

/** Why nothing is changed: each mistake, and the data as it would be, where it can be told. */
export interface Refused {
  mistakes: Mistake[];
  data?: SiteData;
}

/** The data in the text of a site file that has no mistakes; what the text repeats by an alias is there twice. */
export function dataOf(text: string): SiteData {
  const data = plainData(text) ?? parseDocument(text, { prettyErrors: false, logLevel: 'error' }).toJS();
  return JSON.parse(JSON.stringify(data)) as SiteData;
}

/** Those mistakes that the file did not have before; it may have some that only a writer is told of. */
function newMistakes(found: Mistake[], text: string, file: string, today: Today): Mistake[] {
  const before = parseSite(text, file, today);
  const known = new Set(
    'mistakes' in before ? before.mistakes.map((one) => `${one.field} ${one.message}`) : [],
  );
  return found.filter((one) => !known.has(`${one.field} ${one.message}`));
}

/** The site of a new text, or what speaks against it. */
function judged(
  edited: string,
  text: string,
  file: string,
  today: Today,
): { site: Site } | { mistakes: Mistake[] } {
  const strict = parseSite(edited, file, today);
  if ('site' in strict) return strict;
  const mistakes = newMistakes(strict.mistakes, text, file, today);
  return mistakes.length > 0 ? { mistakes } : parseSite(edited, file);
}

/**
 * Carries out changes one after the other, all or none.
 * @param file its name, for the sentences
 * @param today as for `check`: the new text must satisfy a writer, not only a host that starts
 */
export function editSite(
  text: string,
  file: string,
  changes: readonly Change[],
  today: Today,
): Edited | Refused {
  const present = parseSite(text, file);
  if ('mistakes' in present) return present;
  const data = dataOf(text);
  const steps: Step[] = [];
  const said: Said[] = [];
  try {
    for (const change of changes) {
      said.push(...saidOf(data, change));
      for (const step of stepsOf(data, change)) {
        take(data, step);
        steps.push(step);
      }
    }
    const edited = stepped(text, steps);
    const result = judged(edited, text, file, today);
    if ('mistakes' in result) return { ...result, data };
    if (!isSame(dataOf(edited), data)) throw new Refusal(UNKNOWN);
    return { text: edited, data, said, site: result.site };
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    return { mistakes: [{ file, line: 0, field: '', message: error.message }] };
  }
}

const UNKNOWN =
  'The file is written in a way that cannot be changed here; change it in an editor, and start the host again.';
