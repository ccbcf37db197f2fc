// Times and checks as the inspector reads them.
import type { ProvenCheck } from '../story';

const formats = new Map<string, Intl.DateTimeFormat>();

/** Day and time in the building's zone; in UTC if the browser does not know the zone. */
export function moment(utcSec: number, zone: string): string {
  let format = formats.get(zone);
  if (!format) {
    const style = { dateStyle: 'medium', timeStyle: 'short' } as const;
    try {
      format = new Intl.DateTimeFormat('en-GB', { ...style, timeZone: zone });
    } catch {
      format = new Intl.DateTimeFormat('en-GB', { ...style, timeZone: 'UTC' });
    }
    formats.set(zone, format);
  }
  const date = new Date(utcSec * 1000);
  return Number.isNaN(date.getTime()) ? `second ${utcSec}` : format.format(date);
}

/** "Walk-round, for area hall: 4 of 6 points in order; 1 not in order at other luminaires; not in order: Clean (dusty)". */
export function checkWords(check: ProvenCheck): string {
  const { title, scope, points, inOrder, found, elsewhere, notApplicable } = check;
  const where = scope === 'site' ? 'the whole site' : scope;
  const unread = points - inOrder - found.length - elsewhere - notApplicable;
  const parts = [
    `${inOrder} of ${points} points in order`,
    ...(notApplicable > 0 ? [`${notApplicable} not applicable`] : []),
    ...(elsewhere > 0 ? [`${elsewhere} not in order at other luminaires`] : []),
    ...(unread > 0 ? [`${unread} with an answer unknown to this file`] : []),
    ...found.map((one) => `not in order: ${one}`),
  ];
  return `${title}, for ${where}: ${parts.join('; ')}`;
}
