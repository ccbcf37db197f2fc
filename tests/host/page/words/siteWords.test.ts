// What the host itself says about the site file and batteries, in the languages of the page.
import { afterEach, describe, expect, it } from 'vitest';
import type { FormField } from '../../../../host/api/site';
import type { ControllerStatus } from '../../../../host/api/views';
import { decideAttended, windowWords } from '../../../../host/house/notes/attended';
import { decideAcceptance } from '../../../../host/house/notes/baseline';
import { decideCare } from '../../../../host/house/notes/care';
import { decideWithdrawal } from '../../../../host/house/notes/withdrawn';
import { seededKeys } from '../../../../host/keys';
import type { LampOutlook, TypeOutlook } from '../../../../host/outlook/outlook';
import { lampSentence } from '../../../../host/outlook/words';
import type { Tongue } from '../../../../host/page/tongues/names';
import { hostWords } from '../../../../host/page/words/hostWords';
import { dayNames, optionWords, saidNow, takingWords } from '../../../../host/page/words/site';
import { hintOf, mistakeAt } from '../../../../host/page/words/siteForm';
import { fixedWords } from '../../../../host/serve/siteFile';
import type { Change } from '../../../../host/site/edit/change';
import { editSite } from '../../../../host/site/edit/edit';
import { inTheWay } from '../../../../host/siteDoor/busy';
import { formFields } from '../../../../host/siteDoor/form';
import { STALE, TAKING, takingWords as takingRefusal, UNTAKEN } from '../../../../host/siteDoor/refusals';
import { speak, TONGUES } from '../../../support/tongues';
import { HOUSE } from '../../house/site';
import { SMALL } from '../../site/small';
import { controller, underTest } from '../samples';

const OTHERS = (Object.keys(TONGUES) as Tongue[]).filter((tongue) => tongue !== 'en');
afterEach(() => speak('en'));

const FIELDS = Object.values(formFields()).flatMap((fields) =>
  fields.flatMap((field) => [field, ...(field.fields ?? [])]),
);
/** The same in every language: numbers, and names of rule profiles. "no" is an answer, not a sentence. */
const isName = (text: string) => /^[\d.]+$/.test(text) || ['en50172', 'no'].includes(text);

function wordsOf({ kind, name, label, accepts, otherwise, more }: FormField): string[] {
  const typed = kind === 'number' || name === 'id' ? [accepts] : [];
  const about = kind === 'floor' || kind === 'area' ? '' : more.replace(/[^.?!]$/, '$&.');
  return [label, ...typed, otherwise, about].filter((text) => text !== '' && !isName(text));
}

function hindrances(): string[] {
  const running = underTest('a', {});
  const none = { fault: 0, outage: 0, held: 0, overdue: 0 };
  const all: [ControllerStatus, boolean][] = [
    [running, false],
    [{ ...running, contact: 'silent', heardAt: NOW - 3600 }, false],
    [controller('a', { troubleAt: { ...none, fault: 1 } }), true],
    [controller('a', { troubleAt: { ...none, outage: 1 } }), true],
    [controller('a', { troubleAt: { ...none, held: 1 } }), true],
    [controller('a', { troubleAt: none, supplyAfter: false }), true],
  ];
  return all.flatMap(([status, isGone]) => {
    const { why, todo, saved } = inTheWay(status, isGone, NOW)!;
    const waits = takingRefusal({ percent: 100, waits: why + saved });
    return [`${why}${saved}.`, `Nothing was saved: ${why}${todo}`, waits];
  });
}

const NOW = Date.parse('2026-11-30T12:00Z') / 1000;

function refusals(): string[] {
  const [circuit] = HOUSE.circuits;
  const who = 'Anna';
  const care = { luminaire: 'A-01', owner: '', due: '', interim: '', words: '', circuit: 'a', who, now: NOW };
  const note = { entry: undefined, before: undefined, number: 5, keys: seededKeys(1), who, now: NOW };
  const window = { circuit: 'a', who, now: NOW, present: undefined, plan: undefined, from: NOW };
  const acceptance = { address: 'demo/a', circuit, inForce: circuit, complete: undefined, luminaires: [] };
  const decisions = [
    decideCare({ ...care, site: HOUSE, hasDefect: false, before: null }),
    decideCare({ ...care, luminaire: '', site: HOUSE, hasDefect: false, before: null }),
    decideCare({ ...care, site: HOUSE, hasDefect: true, before: null }),
    decideCare({ ...care, due: '2099-01-01', site: HOUSE, hasDefect: true, before: null }),
    decideWithdrawal({ ...note, site: HOUSE, why: '' }),
    decideAttended({ ...window, site: HOUSE, to: 0 }),
    decideAttended({ ...window, site: HOUSE, to: NOW + 60 }),
    decideAcceptance({ ...acceptance, who, at: NOW, floorPercent: 70 }),
  ];
  return decisions.flatMap((one) => ('refusals' in one ? one.refusals : []));
}

/** What the checks say of one wrong change each. */
function mistakes(): string[] {
  const set = (id: string, field: string, value: unknown): Change => ({
    ...{ do: 'set', part: 'luminaires', id, field, value },
  });
  const lamp = { place: 'Yard', area: 'hall', mode: 'non-maintained', batteryMilliamps: 90 };
  const add = (item: object): Change => ({
    do: 'add',
    part: 'luminaires',
    circuit: 'one',
    item: { ...item },
  });
  const many = Array.from({ length: 15 }, (_, i) => add({ ...lamp, id: `Z-${i}` }));
  const all: Change[][] = [
    [set('A-1', 'batteryMilliamps', 2500)],
    [set('A-1', 'batteryMilliamps', '3x')],
    [set('A-1', 'celsius', 200)],
    [set('A-1', 'milliampsPerCount', -1)],
    [set('A-1', 'place', '')],
    [set('A-1', 'batteryFitted', '2026-02-31')],
    [set('A-1', 'batteryFitted', '2027-01-01')],
    [set('A-1', 'mainsMilliamps', null)],
    [set('A-2', 'mainsMilliamps', 90)],
    [set('A-1', 'mode', 'bright')],
    [set('A-9', 'place', 'Roof')],
    [add({ ...lamp, id: 'A-1' })],
    [add({ ...lamp, id: 'A 7' })],
    [add({ ...lamp, id: 'A-7', batteryMilliamps: undefined })],
    [add({ id: 'A-7' })],
    [{ do: 'add', part: 'areas', item: { id: 'yard', name: 'Yard', floor: 'ground' } }],
    [{ do: 'set', part: 'circuits', id: 'one', field: 'ratedMinutes', value: null }],
    [{ do: 'set', part: 'circuits', id: 'one', field: 'emptySec', value: 900 }],
    many,
  ];
  return all.flatMap((changes) => {
    const made = editSite(SMALL, 'mill.yaml', changes, () => '2026-11-30');
    if (!('mistakes' in made)) throw new Error(`No mistake in ${JSON.stringify(changes)}`);
    return made.mistakes.map(({ message }) => message);
  });
}

const MISTAKES = mistakes();

const YEAR = 31_557_600;

function outlooks(): string[] {
  const type = (more: object) => ({ model: undefined, failures: 3, undated: 0, ...more }) as TypeOutlook;
  const lamp = (state: string, forecast?: object) =>
    ({ batteries: { present: { state } }, forecast }) as unknown as LampOutlook;
  const model = type({ model: {}, failures: 40 });
  const at = (early: number, likely: number, late: number) => ({
    early: NOW + early * YEAR,
    likely: NOW + likely * YEAR,
    late: NOW + late * YEAR,
  });
  return [
    lampSentence('UTC', type({}), lamp('undated'), NOW),
    lampSentence('UTC', type({}), lamp('lasts'), NOW),
    lampSentence('UTC', type({ undated: 90 }), lamp('lasts'), NOW),
    lampSentence('UTC', type({ failures: 400 }), lamp('lasts'), NOW),
    lampSentence('UTC', model, lamp('lasts', at(1, 2, 3)), NOW),
    lampSentence('UTC', model, lamp('lasts', at(-1, 4, 40)), NOW),
  ];
}

describe.each(OTHERS)('in %s, the page has words for', (tongue) => {
  const left = (texts: string[]) => {
    speak(tongue);
    expect(texts.length).toBeGreaterThan(2);
    return [...new Set(texts.filter((text) => hostWords(text) === text))];
  };

  it('every label and every hint of a form', () => {
    expect(left(FIELDS.flatMap(wordsOf))).toEqual([]);
    const options = FIELDS.filter(({ name }) => name !== 'profile').flatMap((one) => one.options ?? []);
    const chemistries = ['NiCd', 'NiMH', 'LiFePO4'];
    expect(options.filter((one) => optionWords(one) === one && !chemistries.includes(one))).toEqual([]);
  });

  it('what stands in the way of a change', () => {
    const fixed = [fixedWords({ simulated: true } as never), fixedWords({} as never)];
    const rest = ['Saved, and entered in the log book. The host is taking it over.', 'Nothing was changed.'];
    expect(left([...hindrances(), STALE, TAKING, UNTAKEN, ...fixed, ...rest])).toEqual([]);
    const waits = inTheWay(underTest('a', {}), false, NOW)!.why;
    expect(takingWords({ percent: 100, waits })).not.toContain(waits);
  });

  it('why an entry is refused', () => {
    expect(left(refusals())).toEqual([]);
  });

  it('the mistakes that people make most', () => {
    speak(tongue);
    const told = MISTAKES.map(mistakeAt);
    expect(left(told)).toEqual([]);
    for (const text of told)
      expect(hostWords(mistakeAt(text))).not.toMatch(/must|write |lit on|commissioned/);
  });

  it('the outlook of a battery', () => {
    expect(left(outlooks())).toEqual([]);
  });
});

it('writes the moments of a time to work as the language does', () => {
  const at = Date.parse('2026-03-03T12:00Z') / 1000;
  const span = windowWords({ from: at, to: at + 7200 }, 'UTC');
  const told = `Tests can be started on demand from ${span}; the controller is updated within a minute or two.`;
  speak('de');
  expect(hostWords(told)).toMatch(/^Tests können von Di 3\. März, 12:00 bis Di 3\. März, 14:00 auf Befehl/);
});

it('writes hints, days and hours as the language does', () => {
  speak('de');
  const ratedMinutes = FIELDS.find(({ name }) => name === 'ratedMinutes')!;
  expect(hintOf(ratedMinutes)).toBe('Eine ganze Zahl von 15 bis 180. Leer: steht bei jeder Notleuchte.');
  expect(dayNames()[0]).toEqual(['mon', 'Mo']);
  const windows = FIELDS.find(({ name }) => name === 'testWindows')!;
  expect(saidNow(windows, [{ days: ['mon', 'tue'], from: '23:00', to: '04:00' }])).toBe('Mo, Di 23:00–04:00');
  const [, , , , , far] = outlooks();
  expect(hostWords(far)).toContain('zwischen heute und nach 2041');
});
