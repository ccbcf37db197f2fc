// What was probably meant by a value that is none of those a field takes.
import { isDate } from './civil';
import type { About } from './fields';
import { nearest } from './nearest';
import { plainId } from './plainId';

const YES = /^(y|yes|on|true)$/i;
const NO = /^(n|no|off|false)$/i;
/** A number with a decimal point or comma, and a unit after it. */
const QUANTITY = /^(\d+(?:[.,]\d+)?)\s*([a-z]*)\.?$/i;

/** A number of whole units from one that was written in others; undefined where it is none. */
function converted(number: number, unit: string, about: About): number | undefined {
  const isMilliamps = / in mA\b/.test(about.what);
  const isMinutes = / in minutes\b/.test(about.what);
  if (isMilliamps && (unit === 'a' || (unit === '' && !Number.isInteger(number))))
    return Math.round(number * 1000);
  if (isMinutes && (unit === 'h' || (unit === '' && number > 0 && number <= 3))) return number * 60;
  return Number.isInteger(number) ? number : undefined;
}

function numberHint(value: unknown, about: About): string {
  if (typeof value !== 'number' && typeof value !== 'string') return '';
  const [, digits, unit] = QUANTITY.exec(String(value).trim()) ?? [];
  if (digits === undefined) return '';
  const number = Number(digits.replace(',', '.'));
  const meant = about.isWhole ? converted(number, unit.toLowerCase(), about) : number;
  if (meant === undefined || meant < about.from! || meant > about.to!) return '';
  if (meant === value) return '';
  const given = meant === number ? '' : ` for ${digits} ${unit || (/ in mA\b/.test(about.what) ? 'A' : 'h')}`;
  return `write ${meant}${given}`;
}

/** Day, month and year with dots, as in much of Europe: no other order is written with dots. */
function dateHint(value: unknown): string {
  const [, day, month, year] = /^(\d{1,2})\.(\d{1,2})\.(\d{4})$/.exec(String(value)) ?? [];
  const date = day && `${year}-${month.padStart(2, '0')}-${day.padStart(2, '0')}`;
  return date && isDate(date) ? `write ${date}` : '';
}

function clockHint(value: unknown): string {
  if (value === '24:00') return 'write "00:00"';
  const [, hour, minute] = /^(\d{1,2})[.:](\d{2})$/.exec(String(value)) ?? [];
  return hour && Number(hour) < 24 && Number(minute) < 60 ? `write "${hour.padStart(2, '0')}:${minute}"` : '';
}

function zoneHint(value: unknown): string {
  if (typeof value !== 'string') return '';
  const zones = Intl.supportedValuesOf('timeZone');
  const near =
    nearest(value, zones) ??
    zones.find((zone) => zone.split('/').pop()?.toLowerCase() === value.toLowerCase().replace(/ /g, '_'));
  return near ? `did you mean "${near}"?` : '';
}

function idHint(value: unknown, keepsCase = false): string {
  if (typeof value === 'number') return `write "${value}", between quotes`;
  if (typeof value !== 'string') return '';
  const plain = plainId(keepsCase ? value : value.toLowerCase());
  return plain === '' || plain.length > 24 ? '' : `write ${plain}`;
}

function yesNoHint(value: unknown): string {
  if (typeof value !== 'string') return '';
  return YES.test(value) ? 'write true' : NO.test(value) ? 'write false' : '';
}

/** What to write instead, as the end of a sentence; '' where nothing is likely. */
export function hint(about: About | undefined, value: unknown): string {
  switch (about?.kind) {
    case 'number':
      return numberHint(value, about);
    case 'yes or no':
      return yesNoHint(value);
    case 'date':
      return dateHint(value);
    case 'clock':
      return clockHint(value);
    case 'zone':
      return zoneHint(value);
    case 'id':
      return idHint(value, about.keepsCase);
    case 'word': {
      const near = typeof value === 'string' ? nearest(value, about.options ?? []) : undefined;
      return near ? `did you mean "${near}"?` : '';
    }
    case 'text':
      return typeof value === 'number' ? `write "${value}", between quotes` : '';
    default:
      return '';
  }
}
