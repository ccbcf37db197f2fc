// What the outlook says of one battery, in words that promise nothing.
import { localDate } from '../site/civil';
import { YEAR_SEC } from './batteries';
import { type LampOutlook, type TypeOutlook, tooLittle } from './outlook';

/** Later than this, years from now, one date is as good as another. */
const FAR = 15;

/** "2027-05", "now" or "after 2041"; a day would say more than is known. */
export function monthWord(timeZone: string, utcSec: number, now: number): string {
  const latest = now + FAR * YEAR_SEC;
  if (utcSec > latest) return `after ${localDate(timeZone, latest).slice(0, 4)}`;
  return utcSec <= now ? 'now' : localDate(timeZone, utcSec).slice(0, 7);
}

/** What to do about a battery of which nothing is said. */
export const UNDATED = 'probably changed; write its date into the site file (batteryFitted)';

/**
 * One luminaire's battery in a sentence or two; '' where its tests say enough by themselves.
 * @param now UTC second
 */
export function lampSentence(
  timeZone: string,
  type: TypeOutlook,
  { batteries, forecast }: LampOutlook,
  now: number,
): string {
  const { state } = batteries.present;
  if (state === 'undated') return `The battery was ${UNDATED}.`;
  if (state !== 'lasts') return '';
  const why = tooLittle(type);
  if (why !== '' || !forecast) return `Too little data: ${why}.`;
  const [early, likely, late] = [forecast.early, forecast.likely, forecast.late].map((at) =>
    monthWord(timeZone, at, now),
  );
  return (
    `Probably lasts its rated duration until ${likely}; 90 % of such batteries fall short between ${early} and ` +
    `${late}. An estimate from ${type.failures} batteries of its type that failed from age.`
  );
}
