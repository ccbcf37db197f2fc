// `inspected`: enters what a person has looked at.
import { randomUUID } from 'node:crypto';
import { nowSec, systemClock } from '../clock';
import { type DatedDuty, dutiesOf } from '../duties/duties';
import { type Answer, decideInspection, inspectionWords, type Mark } from '../house/notes/inspected';
import { writeOnce } from '../house/notes/notes';
import { utcOfLocal } from '../site/civil';
import { localTime } from '../site/fields';
import type { Site } from '../site/model';
import { nearest } from '../site/nearest';
import { withLogbook } from './baseline';
import { circuitOf, luminaireOf, named } from './named';

export interface InspectedOptions {
  site: Site;
  db: string;
  duty: string;
  who: string;
  /** Local time of the site, YYYY-MM-DDTHH:MM; now if not given. */
  at?: string;
  area?: string;
  circuit?: string;
  luminaire?: string;
  /** "POINT LUMINAIRE ...: words". */
  found: string[];
  notApplicable: string[];
  /** True if somebody says that all points not named were seen in order. */
  restInOrder: boolean;
  words: string;
}

function dutyOf(site: Site, id: string): DatedDuty {
  const duties = dutiesOf(site);
  const found = duties.find((duty) => duty.id === id);
  if (found) return found;
  const names = duties.map((duty) => duty.id);
  const near = nearest(id, names);
  throw new Error(
    `This site has no duty "${id}"; ${near ? `did you mean "${near}"?` : `choose one of: ${names.join(', ')}.`}`,
  );
}

/** One --found, taken apart. */
function foundAnswer(site: Site, text: string): Answer {
  const parts = /^([a-z-]+)((?: [^\s:]+)*)(?:: *(.+))?$/u.exec(text.trim());
  if (!parts) throw new Error(`Write --found as "POINT LUMINAIRE ...: what was found", not "${text}".`);
  const [, point, lamps, words = ''] = parts;
  const ids = lamps.split(' ').filter((id) => id !== '');
  return {
    point,
    mark: 'not in order',
    luminaires: [...new Set(ids.map((id) => luminaireOf(site, id).luminaire.id))],
    words,
  };
}

function answersOf(
  duty: DatedDuty,
  o: Pick<InspectedOptions, 'site' | 'found' | 'notApplicable' | 'restInOrder'>,
): Answer[] {
  const plain = (point: string, mark: Mark): Answer => ({ point, mark, luminaires: [], words: '' });
  const given = [
    ...o.found.map((text) => foundAnswer(o.site, text)),
    ...o.notApplicable.map((id) => plain(id, 'not applicable')),
  ];
  const ids = duty.points.map(({ id }) => id);
  for (const [i, { point }] of given.entries()) {
    if (!ids.includes(point))
      throw new Error(`The duty "${duty.id}" has no point "${point}"; choose from: ${ids.join(', ')}.`);
    if (given.findIndex((other) => other.point === point) !== i)
      throw new Error(`The point "${point}" is given twice; name all its luminaires in one --found.`);
  }
  const open = ids.filter((id) => !given.some(({ point }) => point === id));
  if (open.length > 0 && !o.restInOrder)
    throw new Error(
      `No answer for: ${open.join(', ')}. If all of that was seen in order, add --rest-in-order.`,
    );
  return ids.map((id) => given.find(({ point }) => point === id) ?? plain(id, 'in order'));
}

function scopeOf({ site, area, circuit, luminaire }: InspectedOptions): string {
  if ([area, circuit, luminaire].filter((id) => id !== undefined).length > 1)
    throw new Error('Give one of --area, --circuit and --luminaire, or none for the whole site.');
  if (luminaire !== undefined) return `luminaire ${luminaireOf(site, luminaire).luminaire.id}`;
  if (circuit !== undefined) return `circuit ${circuitOf(site, circuit).id}`;
  return area === undefined ? 'site' : `area ${named(site.areas, area)?.id ?? area}`;
}

function momentOf(site: Site, at: string | undefined, now: number): number {
  if (at === undefined) return now;
  const parsed = localTime('the time it was done').safeParse(at);
  if (!parsed.success) throw new Error(`--at ${parsed.error.issues[0].message}, but is "${at}".`);
  return utcOfLocal(site.timeZone, parsed.data);
}

/**
 * Writes the inspection into the log book, where a running host picks it up.
 * @returns the exit code: 1 if it is refused. @throws Error with one sentence for a mistake.
 */
export async function inspectedCommand(o: InspectedOptions): Promise<number> {
  const { site, who, words } = o;
  const duty = dutyOf(site, o.duty);
  const now = nowSec(systemClock);
  const id = randomUUID();
  const wish = { id, duty: duty.id, who, words, scope: scopeOf(o), points: answersOf(duty, o) };
  const decided = decideInspection(site, [duty], { ...wish, done: momentOf(site, o.at, now) }, now);
  if ('refusals' in decided) {
    process.stderr.write(`${decided.refusals.join(' ')}\n`);
    return 1;
  }
  const { note } = decided;
  await withLogbook(o, (logbook, keys) => writeOnce(logbook, keys, note, id));
  process.stdout.write(`${note.who} ${inspectionWords(note.fields, note.at, site.timeZone)}\n`);
  return 0;
}
