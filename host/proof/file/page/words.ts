// Times as the inspector reads them.
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
