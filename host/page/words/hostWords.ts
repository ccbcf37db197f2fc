// Sentences that the host made, in the language of the page: `tongues/said.ts` has them as English keys. Either all of
// a text is found there, or it stays English as a whole: half a sentence in each language helps nobody.

import { ROLES, type Role } from '../../api/accounts';
import { capital } from '../../words/capital';
import { en } from '../tongues/en';
import { SAID } from '../tongues/said';
import { t } from '../tongues/tongue';
import { dateWord } from './time';

type Kind = keyof typeof en.kinds;

const KINDS = (['brief', 'full', 'limited', 'commissioning'] as const).map((kind): [Kind, string] => [
  kind,
  en.kinds[kind],
]);
const escaped = (text: string) => text.replace(/[.*+?^${}()|[\]\\]/g, '\\$&');

/** As hosts write them: September is spelt by the host's Intl, which had both spellings in its time. */
const MONTHS: Record<string, string> = {
  ...{ Jan: '01', Feb: '02', Mar: '03', Apr: '04', May: '05', Jun: '06', Jul: '07', Aug: '08' },
  ...{ Sep: '09', Sept: '09', Oct: '10', Nov: '11', Dec: '12' },
};
const DAY = /\w{3} (\d{1,2}) (\w{3,4}) (\d{4})/;

function dayWords(text: string): string | undefined {
  const [, day, month, year] = DAY.exec(text) ?? [];
  const number = MONTHS[month];
  return number && text.replace(DAY, dateWord(`${year}-${number}-${day.padStart(2, '0')}`));
}

const WEEKDAYS = ['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun'];
const MOMENT = /(\w{3}) (\d{1,2}) (\w{3,4}) (\d\d:\d\d)/;

/** A moment of the days ahead, which the host says without a year. */
function momentWords(text: string): string | undefined {
  const [, weekday, day, month, clock] = MOMENT.exec(text) ?? [];
  const number = MONTHS[month];
  const nth = WEEKDAYS.indexOf(weekday);
  if (number === undefined || nth < 0) return undefined;
  const say = (utc: number, parts: Intl.DateTimeFormatOptions) =>
    new Intl.DateTimeFormat(t.locale, { ...parts, timeZone: 'UTC' }).format(utc);
  // The first of January 2024 was a Monday, and that year has a 29 February.
  const name = say(Date.UTC(2024, 0, 1 + nth), { weekday: 'short' });
  return `${name} ${say(Date.UTC(2024, Number(number) - 1, Number(day)), { day: 'numeric', month: 'short' })}, ${clock}`;
}

/** The source of a pattern with its groups no longer counted. */
function uncaught({ source }: RegExp): string {
  return source.replace(/(?<!\\)\((?!\?)/g, '(?:');
}

/** Names, with "Dr. Bell" among them, but not the end of one sentence and the beginning of another. */
const NAMES = '(?:(?!(?<=[\\p{L}\\d]{4})\\. \\p{Lu}).)+?';

/** What may stand in the place of braces, and what the language makes of it; undefined if it has nothing. */
const PLACES: Record<string, [pattern: string, words: (found: string) => string | undefined]> = {
  text: [NAMES, (found) => found],
  mode: [Object.values(en.modes).map(escaped).join('|'), (found) => t.modes[found as keyof typeof t.modes]],
  role: [ROLES.join('|'), (found) => t.accounts.roles[found as Role]],
  thing: ['floor|area|circuit|luminaire', (found) => t.site.ones[found as keyof typeof t.site.ones]],
  id: ['[^\\s,:]+', (found) => found],
  n: ['-?\\d+', (found) => found],
  length: ['\\d+ (?:s|min|h(?: \\d\\d min)?)', (found) => found],
  day: [uncaught(DAY), dayWords],
  when: [`${uncaught(DAY)}, \\d\\d:\\d\\d`, dayWords],
  moment: [uncaught(MOMENT), momentWords],
  month: ['\\d{4}-\\d\\d|now|after \\d{4}', (found) => (/^\d/.test(found) ? found : translated(found))],
  kind: [
    KINDS.map(([, name]) => escaped(name)).join('|'),
    (found) => KINDS.flatMap(([kind, name]) => (name === found ? [t.kinds[kind]] : []))[0],
  ],
  Kind: [
    KINDS.map(([, name]) => escaped(capital(name))).join('|'),
    (found) => KINDS.flatMap(([kind, name]) => (capital(name) === found ? [capital(t.kinds[kind])] : []))[0],
  ],
  ways: [NAMES, (found) => found.split(' or ').join(t.or)],
  said: ['.+', (found) => translated(found)],
  words: ['.+', (found) => found],
  work: ['.+', (found) => workWords(found)],
};

const PLACE = /\{(\w+?)(\d?)\}/g;

interface Pattern {
  key: (typeof SAID)[number];
  regex: RegExp;
}

function patternOf(key: (typeof SAID)[number]): Pattern {
  const parts = key.split(/(\{\w+\})/).map((part) => {
    const [, name, digit] = /^\{(\w+?)(\d?)\}$/.exec(part) ?? [];
    return name === undefined ? escaped(part) : `(?<${name}${digit}>${PLACES[name][0]})`;
  });
  return { key, regex: new RegExp(`^${parts.join('')}$`, 'u') };
}

const EXACT = new Set<string>(SAID.filter((key) => !key.includes('{')));
const PATTERNS = SAID.filter((key) => key.includes('{')).map(patternOf);
/** Sentences with words that people typed, which may be sentences too, even the host's own. */
const TYPED = PATTERNS.filter(({ key }) => /\{(words|work)\}/.test(key));

function filled({ key, regex }: Pattern, text: string): string | undefined {
  const groups = regex.exec(text)?.groups;
  if (!groups) return undefined;
  let isWhole = true;
  const words = t.said[key].replace(PLACE, (_, name: string, digit: string) => {
    const word = PLACES[name][1](groups[`${name}${digit}`]);
    isWhole &&= word !== undefined;
    return word ?? '';
  });
  return isWhole ? words : undefined;
}

type Translate = (text: string) => string | undefined;

/** What was made of the parts of the text in hand. */
const tried = {
  sentence: new Map<string, string | undefined>(),
  text: new Map<string, string | undefined>(),
};

/** The parts of a text are asked for again and again: without this the time would double with every sentence. */
function once(made: Map<string, string | undefined>, make: Translate): Translate {
  return (text) => {
    if (!made.has(text)) made.set(text, make(text));
    return made.get(text);
  };
}

function filledFrom(patterns: readonly Pattern[], text: string): string | undefined {
  for (const pattern of patterns) {
    const words = filled(pattern, text);
    if (words !== undefined) return words;
  }
  return undefined;
}

/** One sentence, or undefined. */
const sentence = once(tried.sentence, (text) =>
  EXACT.has(text) ? t.said[text as keyof typeof t.said] : filledFrom(PATTERNS, text),
);

/** A text of one or more sentences, each with or without the luminaire it is about: "G2-04: The lamp …" */
const translated: Translate = once(tried.text, (text) => {
  const typed = filledFrom(TYPED, text);
  if (typed !== undefined) return typed;
  // The shortest first: a name at the end of a sentence must not take in the sentence after it.
  const ends = [...text.matchAll(/\. (?=\p{Lu})/gu)].map(({ index }) => index + 1);
  for (const end of ends) {
    const first = sentence(text.slice(0, end)) ?? ofLuminaire(text.slice(0, end));
    const rest = first === undefined ? undefined : translated(text.slice(end + 1));
    if (rest !== undefined) return `${first} ${rest}`;
  }
  return sentence(text) ?? ofLuminaire(text);
});

function ofLuminaire(text: string): string | undefined {
  const [, id, said] = /^([^\s:]+): (.+)$/.exec(text) ?? [];
  const words = id === undefined ? undefined : sentence(said);
  return words && `${id}: ${words}`;
}

/** What was done in a repair: the part changed in the language of the page, anything that people typed as it is. */
export function workWords(what: string): string {
  return / changed$/.test(what) && EXACT.has(what) ? t.said[what as keyof typeof t.said] : what;
}

const KNOWN_MAX = 2000;
/** What was found before, by language: a page shows the same sentences twice a second. */
const known = new Map<string, string>();

/** A text of the host as the page shows it; in English if its language has no words for all of it. */
export function hostWords(text: string): string {
  if (t.lang === 'en' || text === '') return text;
  const key = `${t.lang} ${text}`;
  let words = known.get(key);
  if (words === undefined) {
    if (known.size >= KNOWN_MAX) known.clear();
    tried.sentence.clear();
    tried.text.clear();
    words = translated(text.trim()) ?? text;
    known.set(key, words);
  }
  return words;
}
