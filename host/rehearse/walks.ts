// What invented people looked at in a rehearsal: the monthly walk of the caretaker, with something found on one of
// them and put right before the next.
import { dutiesOf } from '../duties/duties';
import { decideInspection, type InspectionWish } from '../house/notes/inspected';
import { writeOnce } from '../house/notes/notes';
import type { KeyRing } from '../keys';
import type { Logbook } from '../logbook/logbook';
import { localDate, monthsAfter, utcOf } from '../site/civil';
import type { Site } from '../site/model';

/** Invented. */
const WALKER = 'Quilla Thornwick';
const FOUND = 'A poster hangs in front of it.';
/** Minutes past midnight at which people walk. */
const AT = 10 * 60;

/** Local dates of walks a month apart, the last on the day before `until`. @param from UTC seconds, as `until` */
function walkDays(site: Site, from: number, until: number): string[] {
  const last = localDate(site.timeZone, until - 86_400);
  const days: string[] = [];
  for (let back = 0; ; back++) {
    const day = monthsAfter(last, -back);
    if (utcOf(site.timeZone, day, AT, 'start') < from) return days.reverse();
    days.push(day);
  }
}

/**
 * Enters the walks of a time that was simulated: each in order, but on the last but one a luminaire was hidden.
 * @param from UTC second @param until UTC second
 */
export async function enterWalks(
  logbook: Pick<Logbook, 'appendNext' | 'lastOf'>,
  keys: KeyRing,
  { site, from, until }: { site: Site; from: number; until: number },
): Promise<void> {
  const duties = dutiesOf(site);
  const walk = duties.find(
    ({ byLuminaire, interval }) =>
      byLuminaire && interval !== 'once' && 'months' in interval && interval.months === 1,
  );
  if (!walk) return;
  const days = walkDays(site, from, until);
  for (const [i, day] of days.entries()) {
    const done = utcOf(site.timeZone, day, AT, 'start');
    const luminaires = [site.circuits[0].luminaires[0].id];
    const isFound = i === days.length - 2;
    const points: InspectionWish['points'] = walk.points.map(({ id: point }) =>
      isFound && point === 'unobstructed'
        ? { point, mark: 'not in order', luminaires, words: FOUND }
        : { point, mark: 'in order', luminaires: [], words: '' },
    );
    const id = `walk-${day}`;
    const wish = { id, duty: walk.id, who: WALKER, done, scope: 'site', points, words: '' };
    const decided = decideInspection(site, duties, wish, until);
    if ('note' in decided) await writeOnce(logbook, keys, decided.note, id);
  }
}
