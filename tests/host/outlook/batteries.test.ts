// From long tests to what is known of the lives of batteries.
import { describe, expect, it } from 'vitest';
import { Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import { batteriesOf, YEAR_SEC } from '../../../host/outlook/batteries';
import type { Seen } from '../../../host/outlook/seen';
import type { Luminaire } from '../../../host/site/model';
import { HOUSE } from '../house/site';

const RATED = 10_800;
const FITTED = Date.parse('2020-01-01') / 1000;
const OPEN = Number.POSITIVE_INFINITY;
const lamp = (more: Partial<Luminaire> = {}): Luminaire => ({
  ...HOUSE.circuits[0].luminaires[0],
  ...{ ratedSec: RATED, batteryFitted: '2020-01-01' },
  ...more,
});

/** A test so many years after 2020. */
function seen(years: number, litSec: number, more: Partial<Seen> = {}): Seen {
  const isShort = litSec < RATED;
  return {
    ...{ at: FITTED + years * YEAR_SEC, kind: TestKind.Full, litSec, endShare: 0.95 },
    ...{ verdict: isShort ? Verdict.Fail : Verdict.Pass, reason: isShort ? Reason.EndedEarly : Reason.None },
    ...more,
  };
}

const told = (tests: Seen[], more: Partial<Luminaire> = {}, since = FITTED) =>
  batteriesOf(lamp(more), tests, since);

describe('a battery watched from new', () => {
  it('that passed is known to last at least until its newest pass', () => {
    const { lives, present } = told([seen(1, RATED), seen(2, RATED)]);
    expect(lives).toEqual([{ lower: 2, upper: OPEN, entry: 0 }]);
    expect(present).toMatchObject({ state: 'lasts', lastedAt: 2 });
  });

  it('that fell short failed between two tests', () => {
    const { lives, present } = told([seen(1, RATED), seen(2, 9000)]);
    expect(lives).toEqual([{ lower: 1, upper: 2, entry: 0 }]);
    expect(present).toMatchObject({ state: 'failed', litSec: 9000 });
  });

  it('that fell short in a limited test failed as well, but passing one says nothing', () => {
    const limited = { kind: TestKind.Limited };
    expect(
      told([seen(1, RATED), seen(2, 7200, { ...limited, verdict: Verdict.Pass, reason: 0 })]).lives,
    ).toEqual([{ lower: 1, upper: OPEN, entry: 0 }]);
    expect(told([seen(1, RATED), seen(2, 6000, limited)]).lives).toEqual([{ lower: 1, upper: 2, entry: 0 }]);
  });

  it.each([
    ['a void test', seen(2, RATED, { verdict: Verdict.Void, reason: Reason.Outage })],
    ['a lamp that stayed dark', seen(2, 0, { reason: Reason.NotLitAtFiveSeconds })],
    ['a battery that was hardly charged', seen(2, 600)],
  ])('learns nothing of its age from %s', (_what, test) => {
    expect(told([seen(1, RATED), test])).toMatchObject({
      ...{
        lives: [{ lower: 1, upper: OPEN, entry: 0 }],
        present: { state: 'lasts', lastedAt: 1 },
        failedAt: [],
      },
    });
  });
});

describe('a battery older than the log book', () => {
  const later = FITTED + 3 * YEAR_SEC;

  it('counts from its first pass, for had it failed before nobody would know', () => {
    expect(told([seen(3.5, RATED), seen(4.5, 9000)], {}, later).lives).toEqual([
      { lower: 3.5, upper: 4.5, entry: 3.5 },
    ]);
  });

  it('tells nothing if it fell short in its first test, and is known to be short', () => {
    const { lives, present } = told([seen(3.5, 9000)], {}, later);
    expect(lives).toEqual([]);
    expect(present.state).toBe('failed');
  });
});

describe('a changed battery', () => {
  it('has a life of its own, and so had the one before', () => {
    const dates = { batteriesBefore: ['2020-01-01'], batteryFitted: '2022-02-01' };
    const { lives, present } = told([seen(1, RATED), seen(2, 9000), seen(3, RATED)], dates);
    expect(lives).toHaveLength(2);
    expect(lives[0]).toEqual({ lower: 1, upper: 2, entry: 0 });
    expect(lives[1].lower).toBeCloseTo(0.915, 2);
    expect(present.state).toBe('lasts');
  });

  it('without a date is noticed, and not taken for the old one', () => {
    const { lives, present } = told([seen(1, RATED), seen(2, 9000), seen(3, RATED)]);
    expect(lives).toEqual([{ lower: 1, upper: 2, entry: 0 }]);
    expect(present.state).toBe('undated');
  });

  it('makes failures before the first known date count as undated', () => {
    const { undated, failedAt, lives } = told([seen(1, 9000)], { batteryFitted: '2021-02-01' });
    expect([undated, failedAt.length]).toEqual([1, 1]);
    expect(lives.every(({ upper }) => upper === OPEN)).toBe(true);
  });
});

it('a battery without a test is not told of', () => {
  expect(told([], {}, OPEN)).toMatchObject({ lives: [], present: { state: 'untested' } });
});
