// The lines of the battery outlook, where names are long and little is known.
import { expect, it } from 'vitest';
import { outlookLines } from '../../../host/cli/outlookLines';
import { lifeModel } from '../../../host/outlook/lives';
import type { LampOutlook, TypeOutlook } from '../../../host/outlook/outlook';
import { HOUSE } from '../house/site';

const YEAR_SEC = 365.25 * 86_400;
const NOW = 1_790_000_000;
const LONGEST = 'STAIR-NORTH-LANDING-0001';
const BATTERY = { lives: [], fitted: NOW - 5 * YEAR_SEC, failedAt: [], undated: 0 };

function lamp(id: string, more: Partial<LampOutlook>): LampOutlook {
  const luminaire = { ...HOUSE.circuits[0].luminaires[0], id };
  const present = { state: 'lasts', lastedAt: 4, passedAt: NOW - YEAR_SEC } as const;
  return {
    ...{
      luminaire,
      circuit: 'a',
      batteries: { ...BATTERY, present },
      forecast: undefined,
      endTrend: undefined,
    },
    ...more,
  };
}

const LIVES = [3, 4, 4, 5, 5, 6, 6, 7].flatMap((year) => [
  { lower: year, upper: year + 1, entry: 0 },
  { lower: year, upper: Number.POSITIVE_INFINITY, entry: 0 },
]);

function linesOf(lamps: LampOutlook[], model = lifeModel(LIVES)): string[] {
  const type = { chemistry: 'LiFePO4', ratedSec: 10_800, celsius: 30 } as const;
  const one: TypeOutlook = { type, lamps, failures: 8, undated: 0, failuresPerLamp: [], model };
  return outlookLines(HOUSE, [one], { now: NOW, by: NOW + YEAR_SEC, budget: undefined });
}

it('stay within 80 columns with the longest names, and say what is not known', () => {
  const far = {
    early: NOW + YEAR_SEC,
    likely: NOW + 20 * YEAR_SEC,
    late: NOW + 40 * YEAR_SEC,
    chance: 0.999,
  };
  const falls = { slope: -0.021, lower: -0.034, upper: -0.012, intercept: 1 };
  const lines = linesOf([
    lamp(LONGEST, { forecast: far, endTrend: falls }),
    lamp(`${LONGEST.slice(0, -1)}2`, { batteries: { ...BATTERY, present: { state: 'undated' } } }),
    lamp('C', { batteries: { ...BATTERY, present: { state: 'failed', at: NOW, litSec: 10_790 } } }),
    lamp('D', { batteries: { ...BATTERY, present: { state: 'untested' } } }),
  ]);
  expect(lines.filter((line) => line.length > 80)).toEqual([]);
  const text = lines.join('\n').replace(/\s+/g, ' ');
  expect(text).toContain('after 2041 2027-09 to after 2041 > 99 %');
  expect(text).toContain('C 2024-03-01 lasted only 2 h 59 min on 2026-09-21');
  expect(text).toContain('D 2024-03-01 no duration test passed yet');
  expect(text).toContain(
    'probably changed; write its date into the site file (batteryFitted): STAIR-NORTH-LANDING-0002.',
  );
  expect(text).toContain('falls: STAIR-NORTH-LANDING-0001 by 2.1 % a year (1.2 to 3.4).');
  expect(text).toContain(`Will probably not last until 2027-09-21: C, ${LONGEST}.`);
});
