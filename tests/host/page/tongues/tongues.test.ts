import { readFileSync } from 'node:fs';
import { afterEach, describe, expect, it, test } from 'vitest';
import { en, type Words } from '../../../../host/page/tongues/en';
import { type Tongue, tongueFor } from '../../../../host/page/tongues/names';
import { plurals } from '../../../../host/page/tongues/plurals';
import { inputOf } from '../../../../host/page/words/localInput';
import { takeDownWords } from '../../../../host/page/words/notice';
import { orderWords } from '../../../../host/page/words/order';
import { ageOf, dateIn, dayAndTime } from '../../../../host/page/words/time';
import { exposureWord } from '../../../../host/page/words/year';
import { speak, TONGUES } from '../../../support/tongues';
import { COMMANDS, leaves, runsOf, told, VALUES } from './leaves';

const OTHERS = (Object.keys(TONGUES) as Tongue[]).filter((tongue) => tongue !== 'en');
afterEach(() => speak('en'));

const ENGLISH = leaves(en);
/** What is the same in two languages: a name, a loan word, a word both have. */
const SAME: Record<string, string[]> = {
  de: ['kinds.', 'tonight.test', 'log.filter', 'luminaire.test', 'log.hash', 'year.row'],
  fr: [
    'kinds.',
    'frame.circuit',
    'frame.luminaire',
    'buildings.size',
    'tonight.circuit',
    'log.circuit',
    'log.marks.note',
    'orders.minutes',
    'site.ones.circuit',
    'site.ones.luminaire',
    'site.thing.circuits',
    'site.thing.luminaires',
    'site.field.circuit',
    'site.circuitLine',
  ],
  it: ['kinds.', 'year.row', 'frame.account', 'log.kinds.account', 'site.field.no'],
};

describe.each(OTHERS)('the words in %s', (tongue) => {
  const own = new Map(leaves(TONGUES[tongue]));

  it('are all there, and none is English', () => {
    for (const [path, leaf] of ENGLISH) {
      const words = told(own.get(path)!, VALUES);
      if (leaf !== '') expect(words.trim(), path).not.toBe('');
    }
    const same = ENGLISH.filter(([path, leaf]) => told(own.get(path)!, VALUES) === told(leaf, VALUES));
    const unlisted = same.map(([path]) => path).filter((path) => !SAME[tongue].includes(path));
    expect(unlisted).toEqual([]);
    expect(SAME[tongue].filter((path) => !same.some(([one]) => one === path))).toEqual([]);
  });

  it('tell every value that the English ones tell, and no other', () => {
    const shown = (words: string) => VALUES.filter((value) => words.includes(value));
    for (const [path, leaf] of ENGLISH)
      expect(shown(told(own.get(path)!, VALUES)), path).toEqual(shown(told(leaf, VALUES)));
  });

  it('hold no three words in a row of the English ones, but the names of commands', () => {
    const english = new Set(ENGLISH.flatMap(([, leaf]) => runsOf(told(leaf, VALUES), 3)));
    for (const [path, leaf] of own) {
      const left = runsOf(told(leaf, VALUES), 3).filter((run) => english.has(run));
      expect(
        left.filter((run) => !COMMANDS.includes(run)),
        path,
      ).toEqual([]);
    }
  });

  it('say of every order that may leave a relay open that this is no isolation', () => {
    speak(tongue);
    const cautions = (['test', 'extend', 'release', 'clear fault', 'repaired'] as const).map(
      (order) => orderWords(order).caution,
    );
    expect(new Set(cautions)).toEqual(new Set([TONGUES[tongue].orders.notIsolation]));
    expect(orderWords('restore').button).toBe(TONGUES[tongue].orders.restore.button);
  });

  it('leave what programs read as it is', () => {
    const noon = Date.parse('2026-01-31T11:05Z') / 1000;
    speak(tongue);
    expect(dateIn(noon, 'Europe/Berlin')).toBe('2026-01-31');
    expect(inputOf(noon, 'Europe/Berlin')).toBe('2026-01-31T12:05');
  });
});

test('days, ages and numbers are written as each language writes them', () => {
  const at = Date.parse('2026-03-03T01:14Z') / 1000;
  const written = (tongue: Tongue) => {
    speak(tongue);
    return [dayAndTime(at, 'Europe/Berlin'), ageOf(2 * 86_400), exposureWord(1234.25)];
  };
  expect(written('en')).toEqual(['Tue 3 Mar 2026, 02:14', '2 days ago', '1234.3 h']);
  expect(written('de')).toEqual(['Di. 3. März 2026, 02:14', 'vor 2 Tagen', '1234,3 h']);
  expect(written('fr')).toEqual(['mar. 3 mars 2026, 02:14', 'il y a 2 jours', '1234,3 h']);
  expect(written('it')).toEqual(['mar 3 mar 2026, 02:14', '2 giorni fa', '1234,3 h']);
});

test('a word takes the form that its language has for the number', () => {
  const counted = (words: Words) => [0, 1, 2].map((n) => words.headline.tally(n, ''));
  expect(counted(TONGUES.en)).toEqual(['0 luminaires.', '1 luminaire.', '2 luminaires.']);
  expect(counted(TONGUES.de)).toEqual(['0 Notleuchten.', '1 Notleuchte.', '2 Notleuchten.']);
  // French counts nothing in the singular.
  expect(counted(TONGUES.fr)).toEqual(['0 luminaire.', '1 luminaire.', '2 luminaires.']);
  const polish = plurals('pl');
  const nights = (n: number) => polish.count(n, 'noc', 'nocy', { few: 'noce', many: 'nocy' });
  expect([1, 3, 5, 22].map(nights)).toEqual(['1 noc', '3 noce', '5 nocy', '22 noce']);
});

test('the notice for the public names who takes it down, in every language', () => {
  const notice = { at: 0, entries: [], unknown: [], unproven: [], known: 1, ifPowerFails: '' };
  for (const tongue of OTHERS) {
    speak(tongue);
    const words = takeDownWords({ notice, failed: ['Hall'] }, 'The porter', 'UTC');
    expect(words).toContain('The porter');
  }
});

test('the first language of a reader that there is, is spoken; English if there is none', () => {
  expect(tongueFor(['de-CH', 'en'])).toBe('de');
  expect(tongueFor(['rm', 'IT-ch', 'de'])).toBe('it');
  expect(tongueFor(['constructor', 'ja'])).toBe('en');
  expect(tongueFor([])).toBe('en');
});

test('the glossary has the terms that the page uses', () => {
  const glossary = readFileSync(new URL('../../../../docs/glossary.md', import.meta.url), 'utf8');
  const section = glossary.split("## The page's words")[1];
  const rows = [...section.split('\n## ')[0].matchAll(/^\| (.*) \|$/gm)]
    .map((row) => row[1].split(' | '))
    .slice(2);
  expect(rows.length).toBeGreaterThan(20);
  const all = Object.values(TONGUES).map((words) =>
    leaves(words)
      .map(([, leaf]) => told(leaf, VALUES))
      .join('\n')
      .toLowerCase(),
  );
  const missing = rows.flatMap((terms) =>
    terms.filter((term, i) => !all[i].includes(term.replace(/ \((di|de) .*\)$/, '').toLowerCase())),
  );
  expect(missing).toEqual([]);
});
