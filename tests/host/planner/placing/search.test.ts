// What makes one complete placing better than another.
import { expect, it } from 'vitest';
import { TestKind } from '../../../../firmware/contract/codes';
import type { Share } from '../../../../host/planner/placing/circuitWork';
import { improved, isWorthItsChances, type Placed } from '../../../../host/planner/placing/search';

/** A placing of one circuit with tests late by so many nights, at so much exposure. */
function placed(
  lateNights: number[],
  ruleHours: number,
  residue: number,
  { furtherHours = 0, more = false } = {},
): Placed {
  const circuit = 'a';
  const shortfalls = lateNights.map((late) => ({
    ...{ circuit, kind: TestKind.Brief, dueNight: 20500, lateNights: late },
  }));
  const tests = more ? [{ kind: TestKind.Brief, places: [1], more }] : [];
  const works = [{ circuit: { id: circuit }, share: { cycle: 2, residue }, tests }];
  return {
    placing: { shortfalls },
    works,
    measured: { ruleHours, furtherHours, lowerBoundHours: 0 },
  } as unknown as Placed;
}

it.each([
  ['less exposure, where neither has a late test', placed([], 9, 0), placed([], 5, 1), 1],
  ['fewer nights late, however many tests they belong to', placed([40], 5, 0), placed([3, 3], 9, 1), 1],
  ['not less exposure at the price of a later test', placed([3], 9, 0), placed([4], 5, 1), 0],
])('of two placings the better one has %s', (_, first, other, residue) => {
  const turns = { near: new Map([['a', new Set<string>()]]), colours: new Map([['a', 0]]), spacing: 2 };
  const places = (shares: Map<string, Share>) => (shares.get('a')!.residue === 1 ? other : first);
  expect(improved(first, places, turns).works[0].share.residue).toBe(residue);
});

it.each([
  ['more further tests, at no exposure of the others', { furtherHours: 1, ruleHours: 0 }, 1],
  ['more further tests, for a little exposure of the others', { furtherHours: 1, ruleHours: 0.4 }, 1],
  ['not more further tests for so much exposure of the others', { furtherHours: 1, ruleHours: 0.6 }, 0],
  ['not fewer further tests', { furtherHours: 3, ruleHours: 0 }, 0],
])(
  'where tests are wanted on top of those that the rule asks for, the better one has %s',
  (_, one, residue) => {
    const first = placed([], 0, 0, { furtherHours: 2, more: true });
    const other = placed([], one.ruleHours, 1, { furtherHours: one.furtherHours, more: true });
    const turns = {
      ...{ near: new Map([['a', new Set<string>()]]), colours: new Map([['a', 0]]), spacing: 2 },
      others: [new Map([['a', { cycle: 2, residue: 1 }]])],
    };
    const places = (shares: Map<string, Share>) => (shares.get('a')!.residue === 1 ? other : first);
    expect(improved(first, places, turns).works[0].share.residue).toBe(residue);
  },
);

it.each([
  ['an hour is saved for nine of them', 1, 9, [], true],
  ['an hour is saved for eleven of them', 1, 11, [], false],
  ['an hour is saved, and a test is late', 1, 0, [1], false],
])(
  'gives up second chances where they are worth less than what that saves: %s',
  (_, saved, alone, late, is) => {
    const briefs = Array.from({ length: alone }, (_one, i) => ({ kind: TestKind.Brief, places: [i] }));
    const withTests = (one: Placed, tests: object[]) =>
      ({ ...one, works: [{ ...one.works[0], tests }] }) as Placed;
    const usual = withTests(placed([], 9, 0), [{ kind: TestKind.Brief, places: [1, 2] }]);
    expect(isWorthItsChances(withTests(placed(late, 9 - saved, 0), briefs), usual)).toBe(is);
  },
);
