// Which circuit is tested on which working day.
import { expect, it } from 'vitest';
import { TestKind } from '../../../firmware/contract/codes';
import { layOutRounds, type Turn, type WorkDay } from '../../../simulator/people/rounds';

const HOUR = 3_600_000;
const RULES = { walkMs: HOUR, atOnce: 2 };

/** Days of these rounds, each from 9 to 14 h; a name in capitals is a round of full tests. */
function days(...rounds: string[]): WorkDay[] {
  return rounds.map((round, day) => ({
    ...{ from: (24 * day + 9) * HOUR, to: (24 * day + 14) * HOUR },
    ...{ round, isFull: round === round.toUpperCase() },
  }));
}

/** Circuit, day and hour of the day of each turn. */
function told(turns: Turn[]): number[][] {
  return turns.map(({ circuit, day, from }) => [circuit, day, from / HOUR - 24 * day]);
}

it('takes one circuit after another, and continues the next day when the day is over', () => {
  const turns = layOutRounds(new Array(7).fill(HOUR), days('may', 'may', 'may', 'june'), RULES);
  expect(told(turns)).toEqual([
    ...[0, 1, 2, 3, 4].map((circuit) => [circuit, 0, 9 + circuit]),
    ...[5, 6].map((circuit) => [circuit, 1, 4 + circuit]),
    ...[0, 1, 2, 3, 4].map((circuit) => [circuit, 3, 9 + circuit]),
  ]);
  expect(new Set(turns.map(({ kind }) => kind))).toEqual(new Set([TestKind.Brief]));
});

it('takes no more circuits together in duration tests than allowed, each an hour of walking later', () => {
  const turns = layOutRounds(new Array(3).fill(3 * HOUR), days('MAY', 'MAY'), RULES);
  expect(told(turns)).toEqual([
    [0, 0, 9],
    [1, 0, 10],
    [2, 1, 9],
  ]);
  expect(turns.every(({ kind }) => kind === TestKind.Full)).toBe(true);
});

it('takes fewer where a full test and the walk after it would not end within working hours', () => {
  const turns = layOutRounds([4 * HOUR, 4 * HOUR, 5 * HOUR], days('MAY', 'MAY', 'MAY'), RULES);
  expect(told(turns)).toEqual([
    [0, 0, 9],
    [1, 1, 9],
  ]);
});
