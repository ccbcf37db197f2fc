// What a table of luminaires cannot know of its building: said in options, or a default that is told.
import { z } from 'zod';
import { needsSchedule, profileNames } from '../../profiles/profile';
import { isTimeZone, WEEKDAYS } from '../civil';
import type { Weekday } from '../model';
import { nearest } from '../nearest';
import { DEFAULT_PROFILE } from '../resolve';
import { slug } from './ids';

export interface DraftHours {
  days: Weekday[];
  /** HH:MM. */
  from: string;
  to: string;
}

/** As options say it; what is missing becomes a default. */
export interface BuildingSaid {
  name?: string;
  timeZone?: string;
  profile?: string;
  responsible?: string;
  /** E.g. "mon-fri 08:00-18:00, sat 10:00-14:00"; "never" for none. */
  opening?: string;
  window?: string;
}

export interface Building {
  id: string;
  name: string;
  timeZone: string;
  profile: string;
  responsible: string;
  opening: DraftHours[];
  windows: DraftHours[];
  /** Each default that was used: its field in the site file, and in words what it is and how to change it. */
  defaults: Map<string, string>;
}

const PART = /^([a-z]{3,9})(?:\s*-\s*([a-z]{3,9}))?\s+(\d{1,2}[:.]\d{2})\s*-\s*(\d{1,2}[:.]\d{2})$/i;

function dayOf(word: string): Weekday | undefined {
  return WEEKDAYS.find((day) => word.toLowerCase().startsWith(day));
}

/** Days from one to another, round the week. */
function daysFrom(from: Weekday, to: Weekday): Weekday[] {
  const [first, last] = [WEEKDAYS.indexOf(from), WEEKDAYS.indexOf(to)];
  return WEEKDAYS.slice().filter((_, i) =>
    first <= last ? i >= first && i <= last : i >= first || i <= last,
  );
}

function clockOf(text: string): string | undefined {
  const clock = text.replace('.', ':').padStart(5, '0');
  if (clock === '24:00') return '00:00';
  return /^([01]\d|2[0-3]):[0-5]\d$/.test(clock) ? clock : undefined;
}

/**
 * Hours as people write them.
 * @throws Error with one sentence that names the option
 */
export function hoursOf(option: string, text: string): DraftHours[] {
  if (/^(never|none)$/i.test(text.trim())) return [];
  return text.split(',').map((part) => {
    const [, from, to = from, begins, ends] = PART.exec(part.trim()) ?? [];
    const [first, last] = [dayOf(from ?? ''), dayOf(to ?? '')];
    const [opens, closes] = [clockOf(begins ?? ''), clockOf(ends ?? '')];
    if (!first || !last || !opens || !closes)
      throw new Error(
        `${option} must be days and hours such as "mon-fri 08:00-18:00, sat 10:00-14:00", but is "${text}".`,
      );
    return { days: daysFrom(first, last), from: opens, to: closes };
  });
}

/** Hours a default says: people are taken to be there, and the supply is cut late (common practice, no source). */
const OPENING = 'mon-sun 07:00-22:00';
const WINDOW = 'mon-sun 23:00-05:00';

function zoneOf(said: string | undefined): string {
  const own = Intl.DateTimeFormat().resolvedOptions().timeZone;
  if (said === undefined) return isTimeZone(own) ? own : 'UTC';
  if (isTimeZone(said)) return said;
  const near = nearest(said, Intl.supportedValuesOf('timeZone'));
  throw new Error(
    `--time-zone must be an IANA time zone such as Europe/London, but is "${said}"${near ? `; did you mean "${near}"?` : '.'}`,
  );
}

function profileSaid(said = DEFAULT_PROFILE): string {
  if (needsSchedule(said))
    throw new Error(
      `The rule profile "${said}" follows the building's compliance schedule, which only a site file can say; take ` +
        'another profile first, then write profile and complianceSchedule into the file.',
    );
  const possible = profileNames().filter((name) => !needsSchedule(name));
  if (possible.includes(said)) return said;
  const near = nearest(said, possible);
  throw new Error(
    `There is no rule profile "${said}"; ${near ? `did you mean "${near}"?` : `write one of: ${possible.join(', ')}.`}`,
  );
}

const printable = z.string().trim().min(1).max(80);

function textOf(option: string, text: string): string {
  const parsed = printable.safeParse(text);
  if (parsed.success) return parsed.data;
  throw new Error(`${option} must be 1 to 80 characters, but is "${text.slice(0, 90)}".`);
}

/**
 * The building as options say it, completed by defaults. `fallbackName` is its name if none is said.
 * @throws Error with one sentence that names the option
 */
export function buildingOf(said: BuildingSaid, fallbackName: string): Building {
  const defaults = new Map<string, string>();
  const or = (value: string | undefined, fallback: string, field: string, words: string): string => {
    if (value === undefined) defaults.set(field, words);
    return value ?? fallback;
  };
  const name = textOf(
    '--name',
    or(said.name, fallbackName, 'name', `name of the building ${fallbackName}; --name changes it`),
  );
  const id = slug(name).slice(0, 24);
  defaults.set('id', `id ${id}, made of the name; change it before commissioning, afterwards it stays`);
  const timeZone = zoneOf(said.timeZone);
  or(said.timeZone, '', 'timeZone', `time zone ${timeZone}, that of this computer; --time-zone changes it`);
  const profile = profileSaid(said.profile);
  or(
    said.profile,
    '',
    'profile',
    `rule profile ${profile}; --profile changes it, \`nightproof profiles\` lists them`,
  );
  const nobody = 'not named yet';
  const responsible = textOf(
    '--responsible',
    or(
      said.responsible,
      nobody,
      'responsible',
      'person responsible for the emergency lighting not named; --responsible names one',
    ),
  );
  const opening = or(said.opening, OPENING, 'opening', `people are there ${OPENING}; --opening changes it`);
  const window = or(said.window, WINDOW, 'testWindows', `tests ${WINDOW}; --window changes it`);
  const windows = hoursOf('--window', window);
  if (windows.length === 0)
    throw new Error('--window must name at least one night, such as "mon-sun 23:00-05:00".');
  return {
    ...{ id, name, timeZone, profile, responsible, defaults, windows },
    opening: hoursOf('--opening', opening),
  };
}
