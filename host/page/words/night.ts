// Which night the list of tests shows: the present one, or the next that has any.
import type { TonightTest } from '../../api/views';
import { t } from '../tongues/tongue';
import { dateIn, dayOf, shortDay } from './time';

/** From noon to noon. */
const HALF_DAY_SEC = 43_200;

/** "Tonight’s tests: Tue 8 Dec to Wed 9 Dec 2026" or "Next test night: …"; without tests, "Tonight’s tests". */
export function nightTitle(tests: readonly TonightTest[], nowSec: number, zone: string): string {
  if (tests.length === 0) return t.tonight.title;
  const evening = Math.min(...tests.map(({ start }) => start)) - HALF_DAY_SEC;
  const isTonight = dateIn(evening, zone) === dateIn(nowSec - HALF_DAY_SEC, zone);
  const title = isTonight ? t.tonight.titleOf : t.tonight.next;
  return title(shortDay(evening, zone), dayOf(evening + 2 * HALF_DAY_SEC, zone));
}
