import { describe, expect, it } from 'vitest';
import type { DutyView } from '../../../../host/api/duties';
import type { BuildingView } from '../../../../host/api/views';
import {
  type Draft,
  draftFrom,
  draftMistake,
  dueLine,
  dutiesHeadline,
  emptyDraft,
  lengthMistake,
  requestOf,
  restInOrder,
  withScope,
} from '../../../../host/page/words/duties';
import { unfit } from '../../../../host/words/freeText';

const NOW = Date.parse('2026-02-01T12:00Z') / 1000;
const ZONE = 'Europe/Berlin';
const DUTY = {
  id: 'walk',
  points: [
    { id: 'clean', words: 'All is clean.' },
    { id: 'lit', words: 'All is lit.' },
  ],
};
const duty = (state: DutyView['state']) => ({ state }) as DutyView;
const filled = (more: Partial<Draft> = {}): Draft => ({ ...restInOrder(emptyDraft('Zoë'), DUTY), ...more });
const clean = (words: string, luminaires: string[] = []) => ({
  clean: { mark: 'not in order' as const, luminaires, words },
});

describe('a form', () => {
  it('has nothing in order until somebody says so, and one press leaves what was found as it is', () => {
    const empty = emptyDraft('Zoë');
    expect(draftMistake(empty, DUTY, ZONE, NOW)).toBe('2 points have no answer yet.');
    const found = restInOrder({ ...empty, points: clean('dusty') }, DUTY);
    expect(found.points).toMatchObject({ clean: { mark: 'not in order' }, lit: { mark: 'in order' } });
    expect(draftMistake(found, DUTY, ZONE, NOW)).toBe('');
  });

  it.each<[string, Partial<Draft>, string]>([
    ['no name', { who: ' ' }, 'Type your name: the log book records who looked.'],
    [
      'nothing said of a finding',
      { points: { ...filled().points, ...clean(' ') } },
      'Say what is not in order, or which luminaire: “All is clean.”',
    ],
    ['no time', { done: '2026' }, 'Give day and time at which it was done.'],
    ['long words', { words: '長'.repeat(501) }, `Use 500 characters or fewer: “${'長'.repeat(20)}…”`],
    ['a later time', { done: '2026-02-01T14:00' }, 'That time has not come yet.'],
  ])('says in one sentence what is missing: %s', (_what, more, sentence) => {
    expect(draftMistake(filled(more), DUTY, ZONE, NOW)).toBe(sentence);
  });

  it('is dropped when it is older than a day, so that no old look becomes a new one', () => {
    const kept = JSON.stringify({ ...filled(), kept: NOW });
    expect(draftFrom(kept, 'Zoë', NOW + 86_400)).toEqual(filled());
    expect(draftFrom(kept, 'Zoë', NOW + 86_401)).toEqual(emptyDraft('Zoë'));
    expect(draftFrom(JSON.stringify(filled()), 'Zoë', NOW)).toEqual(emptyDraft('Zoë'));
    expect(draftFrom(null, 'Zoë', NOW)).toEqual(emptyDraft('Zoë'));
  });

  it('names only luminaires of its part, also when that is changed afterwards', () => {
    const lamps = (id: string) => [{ id, place: '', area: id }];
    const circuits = ['a', 'b'].map((id) => ({ id, luminaires: lamps(`${id}-1`) }));
    const draft = filled({ points: clean('dusty', ['a-1', 'b-1']) });
    expect(withScope(draft, 'circuit b', { circuits } as BuildingView)).toMatchObject({
      ...{ scope: 'circuit b', points: { clean: { words: 'dusty', luminaires: ['b-1'] } } },
    });
  });

  it('is sent without what the host refuses: line ends, control and invisible characters', () => {
    const draft = filled({
      words: 'two\nlines \u202e\u0007',
      points: { ...filled().points, ...clean('a\u200bb') },
    });
    const request = requestOf(draft, DUTY, { id: 'x', zone: ZONE, now: NOW });
    expect([request.words, request.points[0].words]).toEqual(['two lines', 'a b']);
    for (const words of [request.words, request.points[0].words]) expect(unfit(words, 500)).toBe('');
  });

  it('is not entered if it is longer than a host takes', () => {
    const request = requestOf(filled(), DUTY, { id: 'x', zone: ZONE, now: NOW });
    expect(lengthMistake(request)).toBe('');
    request.points[0].luminaires = Array.from({ length: 5000 }, (_, i) => `lamp-${i}-of-many`);
    expect(lengthMistake(request)).toMatch(/^The entry is too long/);
  });

  it('becomes an entry at its own time, with words on one line and nothing left from another answer', () => {
    const points = { ...filled().points, ...clean(' grey\ndust ', ['A-1']) };
    const request = requestOf(filled({ points, done: '2026-02-01T13:00' }), DUTY, {
      id: 'x',
      zone: ZONE,
      now: NOW + 9,
    });
    expect(request).toEqual({
      ...{ id: 'x', duty: 'walk', who: 'Zoë', scope: 'site', words: '', done: NOW },
      points: [
        { point: 'clean', mark: 'not in order', luminaires: ['A-1'], words: 'grey dust' },
        { point: 'lit', mark: 'in order', luminaires: [], words: '' },
      ],
    });
    const taken = { ...points, clean: { ...points.clean, mark: 'in order' as const } };
    const after = requestOf(filled({ points: taken }), DUTY, { id: 'x', zone: ZONE, now: NOW + 0.9 });
    expect(after).toMatchObject({ done: NOW, points: [{ mark: 'in order', luminaires: [], words: '' }, {}] });
  });
});

it.each<[Partial<DutyView>, string]>([
  [
    { state: 'overdue', days: -3, due: '2026-01-06', dueWords: 'overdue by 3 days' },
    'overdue by 3 days, was due Tue 6 Jan 2026',
  ],
  [{ state: 'due', days: 0, due: '2026-01-06', dueWords: 'due today' }, 'due today'],
  [{ state: 'soon', days: 5, due: '2026-01-06', dueWords: 'due in 5 days' }, 'due in 5 days, Tue 6 Jan 2026'],
  [{ state: 'later', days: 300, due: '2026-01-06', dueWords: 'due in 300 days' }, 'due Tue 6 Jan 2026'],
  [{ state: 'done', days: 0, due: '', dueWords: 'done' }, 'done'],
])('says when it is due: %#', (duty, line) => {
  expect(dueLine(duty as DutyView)).toBe(line);
});

it('the headline says what is late first', () => {
  expect(dutiesHeadline([duty('later'), duty('soon')])).toBe('Nothing is due today.');
  expect(dutiesHeadline([duty('due'), duty('soon')])).toBe('1 duty is due today.');
  expect(dutiesHeadline([duty('overdue'), duty('overdue'), duty('due')])).toBe(
    '2 duties are overdue, 1 due today.',
  );
});
