// When people are in the building.
import { expect, it } from 'vitest';
import { Presence } from '../../../../host/planner/cost/exposure';
import { openSpans } from '../../../../host/planner/cost/occupied';
import { utcOfLocal } from '../../../../host/site/civil';
import { HOUSE } from '../../house/site';

const at = (local: string) => utcOfLocal('Europe/London', local);
const site = {
  ...HOUSE,
  timeZone: 'Europe/London',
  closedDates: ['2026-03-28'],
  opening: [
    { days: ['fri' as const, 'sat' as const, 'sun' as const], from: 20 * 60, to: 2 * 60 },
    { days: ['fri' as const], from: 18 * 60, to: 21 * 60 },
  ],
};

it('are listed in order, merged where they touch, across midnight and a clock change', () => {
  // Friday 27 March with two opening times; Saturday closed; on Sunday the clocks went forward at 1:00.
  const spans = openSpans(site, at('2026-03-27T00:00'), at('2026-03-30T12:00'));
  expect(spans).toEqual([
    { from: at('2026-03-27T18:00'), to: at('2026-03-28T02:00') },
    { from: at('2026-03-29T20:00'), to: at('2026-03-30T02:00') },
  ]);
});

it('are cut to the requested span', () => {
  const [from, to] = [at('2026-03-27T23:00'), at('2026-03-28T01:00')];
  expect(openSpans(site, from, to)).toEqual([{ from, to }]);
  expect(openSpans(site, at('2026-03-28T03:00'), at('2026-03-28T23:00'))).toEqual([]);
});

it('agree with the next opening', () => {
  for (const local of ['2026-03-27T12:00', '2026-03-27T19:00', '2026-03-28T12:00']) {
    const [first] = openSpans(site, at(local), at(local) + 9 * 86400);
    const open = new Presence(openSpans(site, at('2026-03-26T00:00'), at('2026-04-10T00:00')));
    expect(open.next(at(local))).toBe(first.from);
  }
});
