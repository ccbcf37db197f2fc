// Due dates against calendars written by hand.
import { describe, expect, it } from 'vitest';
import { type Done, type DoneBefore, dueDuties, dueWords, nextDate } from '../../../host/duties/due';
import { dutiesOf } from '../../../host/duties/duties';
import type { Site } from '../../../host/site/model';
import { HOUSE } from '../house/site';

const utc = (text: string) => Date.parse(text) / 1000;

describe('the next date', () => {
  it.each([
    ['2026-01-31', { months: 1 }, '2026-02-28'],
    ['2028-01-31', { months: 1 }, '2028-02-29'],
    ['2026-02-28', { months: 1 }, '2026-03-28'],
    ['2026-12-15', { months: 1 }, '2027-01-15'],
    ['2026-08-31', { months: 6 }, '2027-02-28'],
    ['2028-02-29', { months: 12 }, '2029-02-28'],
    ['2028-02-29', { months: 60 }, '2033-02-28'],
    ['2026-05-05', { months: 36 }, '2029-05-05'],
    ['2026-02-28', { days: 1 }, '2026-03-01'],
    ['2028-02-28', { days: 1 }, '2028-02-29'],
    ['2026-12-31', { days: 7 }, '2027-01-07'],
  ])('after %s and %j is %s', (last, interval, next) => {
    expect(nextDate(last, interval)).toBe(next);
  });

  it('does not come for what is done once', () => {
    expect(nextDate('2026-01-01', 'once')).toBe('');
  });
});

/** What was done, by duty and scope. */
function done(
  times: Record<string, string>,
  since?: string,
  presentSince: DoneBefore['presentSince'] = () => 0,
): DoneBefore {
  return {
    presentSince,
    since: since === undefined ? undefined : utc(since),
    last(duty, scope): Done | undefined {
      const at = times[`${duty} ${scope}`];
      return at === undefined ? undefined : { entry: 1, who: 'Anna', done: utc(at) };
    },
  };
}

/** One duty of the house in the given zone. */
function one(id: string, before: DoneBefore, now: string, site: Site = HOUSE) {
  const due = dueDuties(dutiesOf(site), site, before, utc(now)).find(({ duty }) => duty.id === id)!;
  return { due: due.due, says: dueWords(due), state: due.state, left: due.left };
}

describe('a duty', () => {
  const walked = (at: string) => done({ 'walk site': at });

  it('is overdue, due, soon or later by civil days', () => {
    const said = (now: string) => one('walk', walked('2026-01-31T10:00Z'), now);
    expect(said('2026-02-01T10:00Z')).toMatchObject({
      due: '2026-02-28',
      says: 'due in 27 days',
      state: 'later',
    });
    expect(said('2026-02-20T10:00Z')).toMatchObject({ says: 'due in 8 days', state: 'later' });
    expect(said('2026-02-21T10:00Z')).toMatchObject({ says: 'due in 7 days', state: 'soon' });
    expect(said('2026-02-27T22:59Z')).toMatchObject({ says: 'due in 1 day', state: 'soon' });
    // In Berlin it is midnight.
    expect(said('2026-02-27T23:00Z')).toMatchObject({ says: 'due today', state: 'due' });
    expect(said('2026-02-28T22:59Z')).toMatchObject({ says: 'due today', state: 'due' });
    expect(said('2026-02-28T23:00Z')).toMatchObject({ says: 'overdue by 1 day', state: 'overdue' });
    expect(said('2026-03-28T12:00Z')).toMatchObject({ says: 'overdue by 28 days', state: 'overdue' });
  });

  it('counts civil days also where the clocks change (Berlin, 29 March and 25 October 2026)', () => {
    // Summer time begins: 23:30 UTC of 28 March is 00:30 of the 29th; that day has 23 hours.
    expect(one('walk', walked('2026-03-28T23:30Z'), '2026-03-29T21:59Z')).toMatchObject({
      ...{ due: '2026-04-29', says: 'due in 31 days' },
    });
    expect(one('walk', walked('2026-03-28T23:30Z'), '2026-03-29T22:00Z').says).toBe('due in 30 days');
    // It ends: 25 October has 25 hours.
    expect(one('walk', walked('2026-09-25T10:00Z'), '2026-10-24T22:00Z').says).toBe('due today');
    expect(one('walk', walked('2026-09-25T10:00Z'), '2026-10-25T22:59Z').says).toBe('due today');
    expect(one('walk', walked('2026-09-25T10:00Z'), '2026-10-25T23:00Z').says).toBe('overdue by 1 day');
  });

  it('that was never done is counted from the first note, and not at all before there is one', () => {
    expect(one('walk', done({}, '2026-01-10T12:00Z'), '2026-02-12T12:00Z')).toMatchObject({
      ...{ due: '2026-02-10', says: 'overdue by 2 days' },
    });
    expect(one('photometric', done({}, '2026-01-10T12:00Z'), '2026-02-12T12:00Z').due).toBe('2031-01-10');
    expect(one('walk', done({}), '2026-02-12T12:00Z').says).toBe('due in 28 days');
  });

  it('that comes once is due from the first day, and never again when done', () => {
    expect(one('handover', done({}, '2026-01-10T12:00Z'), '2026-01-10T12:00Z').says).toBe('due today');
    expect(one('handover', done({}, '2026-01-10T12:00Z'), '2026-01-12T12:00Z').says).toBe(
      'overdue by 2 days',
    );
    const papers = done({ 'handover site': '2026-01-12T12:00Z' });
    expect(one('handover', papers, '2036-01-12T12:00Z')).toMatchObject({
      says: 'done',
      state: 'done',
      due: '',
    });
  });

  it('that is done part by part is due when the first luminaire is, and names those still to see', () => {
    const parts = done({
      'walk site': '2026-01-05T12:00Z',
      'walk circuit a': '2026-02-01T12:00Z',
      'walk luminaire B-01': '2026-01-20T12:00Z',
    });
    expect(one('walk', parts, '2026-02-02T12:00Z')).toMatchObject({ due: '2026-02-20', left: ['B-01'] });
    const site = done({ 'walk site': '2026-02-03T12:00Z', 'walk circuit a': '2026-02-01T12:00Z' });
    expect(one('walk', site, '2026-02-04T12:00Z')).toMatchObject({ due: '2026-03-03', left: [] });
    // All that is overdue is still to see, not only what was due first.
    const two = done({
      'walk luminaire A-01': '2026-01-01T12:00Z',
      'walk luminaire A-02': '2026-01-02T12:00Z',
      'walk luminaire B-01': '2026-01-20T12:00Z',
    });
    expect(one('walk', two, '2026-02-03T12:00Z')).toMatchObject({
      due: '2026-02-01',
      left: ['A-01', 'A-02'],
    });
  });

  it('is not done for a luminaire that was not there yet, which is due an interval after it came', () => {
    const from = (id: string) => (id === 'B-01' ? utc('2026-02-10T12:00Z') : 0);
    const walks = done({ 'walk site': '2026-02-05T12:00Z' }, '2026-01-01T12:00Z', from);
    expect(one('walk', walks, '2026-03-06T12:00Z')).toMatchObject({
      due: '2026-03-05',
      left: ['A-01', 'A-02'],
    });
    expect(one('walk', walks, '2026-03-11T12:00Z')).toMatchObject({ due: '2026-03-05', left: [] });
    const since = done({ 'walk site': '2026-02-11T12:00Z' }, '2026-01-01T12:00Z', from);
    expect(one('walk', since, '2026-03-06T12:00Z')).toMatchObject({ due: '2026-03-11', left: [] });
    // In the site file, but no controller has it yet.
    const soon = done({ 'walk site': '2026-02-11T12:00Z' }, '2026-01-01T12:00Z', (id) =>
      id === 'B-01' ? Number.POSITIVE_INFINITY : 0,
    );
    expect(one('walk', soon, '2026-02-20T12:00Z')).toMatchObject({ due: '2026-03-11' });
  });

  it('done for a luminaire counts for it under its new id too', () => {
    const [a, b] = HOUSE.circuits;
    const [lamp, other] = a.luminaires;
    const renamed = { ...a, luminaires: [{ ...lamp, id: 'N-01', formerly: ['A-01'] }, other] };
    const before = done({ 'walk site': '2026-01-05T12:00Z', 'walk luminaire A-01': '2026-02-01T12:00Z' });
    const site = { ...HOUSE, circuits: [renamed, b] };
    expect(one('walk', before, '2026-02-02T12:00Z', site).left).toEqual(['A-02', 'B-01']);
  });
});

it('what is most overdue comes first, and what is done for good last', () => {
  const before = done(
    { 'handover site': '2026-01-01T12:00Z', 'key site': '2020-01-01T12:00Z' },
    '2026-01-01T12:00Z',
  );
  const order = dueDuties(dutiesOf(HOUSE), HOUSE, before, utc('2026-03-01T12:00Z'));
  expect(order[0].duty.id).toBe('key');
  expect(order[1].duty.id).toBe('walk');
  expect(order[order.length - 1].duty.id).toBe('handover');
});
