// The forecast of a building: which batteries learn from each other, whose results count, and what is said.
import { describe, expect, it } from 'vitest';
import { Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import type { ResultRecord } from '../../../firmware/contract/messages';
import { YEAR_SEC } from '../../../host/outlook/batteries';
import { outlookOf, replacementOrder, tooLittle } from '../../../host/outlook/outlook';
import { createSightings } from '../../../host/outlook/seen';
import type { Luminaire, Site } from '../../../host/site/model';
import { HOUSE } from '../house/site';
import { resultFields } from '../logbook/records';

const RATED = 3600;
const FITTED = Date.parse('2020-01-01') / 1000;
const NOW = FITTED + 8 * YEAR_SEC;
const NEXT = NOW + YEAR_SEC;

/** A circuit of so many alike luminaires, fitted in 2020. */
function siteOf(count: number, more: (i: number) => Partial<Luminaire> = () => ({})): Site {
  const [circuit] = HOUSE.circuits;
  const luminaires = Array.from(
    { length: count },
    (_, i): Luminaire => ({
      ...{ ...circuit.luminaires[0], id: `L-${i}`, ratedSec: RATED, batteryFitted: '2020-01-01' },
      ...more(i),
    }),
  );
  return { ...HOUSE, circuits: [{ ...circuit, luminaires }] };
}

/** Yearly tests of all luminaires; each lasts until its age in years, and stays in. */
function sightingsOf(site: Site, lasts: (i: number) => number, ids?: string[]) {
  const [{ id, luminaires }] = site.circuits;
  const listed = ids ?? luminaires.map((lamp) => lamp.id);
  const sightings = createSightings(site, () => listed);
  for (let year = 1; year < 8; year++) {
    const rows = luminaires.map((_, i) => {
      if (lasts(i) >= year) return [Verdict.Pass, Reason.None, RATED, 100, 100, 100 - 2 * year, 0];
      return [Verdict.Fail, Reason.EndedEarly, 3000, 100, 100, 0, 0];
    });
    const started = Math.round(FITTED + year * YEAR_SEC);
    const fields = resultFields(rows, { type: TestKind.Full, started, kind: 'result' });
    sightings.take(id, fields as ResultRecord, started);
  }
  return sightings;
}

/** Lives from three to ten years. */
const spread = (i: number): number => 3 + ((i * 7.3) % 7);

describe('the outlook of a building', () => {
  it('keeps types of battery apart: chemistry, rated duration, band of temperature', () => {
    const kinds: Partial<Luminaire>[] = [
      ...[
        {},
        { celsius: 23 },
        { celsius: 18 },
        { celsius: 26 },
        { chemistry: 'NiCd' as const },
        { ratedSec: 7200 },
      ],
    ];
    const site = siteOf(kinds.length, (i) => ({ chemistry: 'NiMH', ...kinds[i] }));
    const types = outlookOf(
      site,
      sightingsOf(site, () => 9),
      NOW,
      NEXT,
    );
    expect(
      types.map(({ type, lamps }) => [type.chemistry, type.ratedSec, type.celsius, lamps.length]),
    ).toEqual([
      ...[
        ['NiMH', RATED, null, 1],
        ['NiMH', RATED, 20, 2],
        ['NiMH', RATED, 30, 1],
        ['NiCd', RATED, null, 1],
      ],
      ['NiMH', 7200, null, 1],
    ]);
  });

  it('promises nothing where few have failed, and says how many are needed', () => {
    const site = siteOf(40);
    const [type] = outlookOf(
      site,
      sightingsOf(site, (i) => (i < 5 ? 4 : 9)),
      NOW,
      NEXT,
    );
    expect(tooLittle(type)).toBe('5 seen to last and later fall short from age; 8 are needed');
    expect(type.lamps.every(({ forecast }) => forecast === undefined)).toBe(true);
    expect(replacementOrder([type]).map(({ luminaire }) => luminaire.id)).toEqual([
      'L-0',
      'L-1',
      'L-2',
      'L-3',
      'L-4',
    ]);
  });

  it('forecasts those that last, in order, and puts those already short first', () => {
    const site = siteOf(60, (i) => ({ batteryFitted: i % 2 === 0 ? '2020-01-01' : '2023-06-01' }));
    const [type] = outlookOf(site, sightingsOf(site, spread), NOW, NEXT);
    expect(tooLittle(type)).toBe('');
    for (const { forecast, batteries } of type.lamps) {
      expect(forecast === undefined).toBe(batteries.present.state !== 'lasts');
      if (!forecast) continue;
      expect(forecast.early).toBeLessThan(forecast.likely);
      expect(forecast.likely).toBeLessThan(forecast.late);
      expect(forecast.chance).toBeGreaterThan(0);
      expect(forecast.chance).toBeLessThan(1);
    }
    const order = replacementOrder([type]);
    const firstLasting = order.findIndex(({ forecast }) => forecast);
    expect(order.slice(firstLasting).every(({ forecast }) => forecast)).toBe(true);
    expect(order[firstLasting].luminaire.batteryFitted).toBe('2020-01-01');
  });

  it('counts results of a luminaire under every id it had, and none of those that are gone', () => {
    const site = siteOf(2, (i) => (i === 0 ? { formerly: ['OLD-1'] } : {}));
    const sightings = sightingsOf(site, () => 9, ['OLD-1', 'GONE']);
    expect(sightings.of('L-0')).toHaveLength(7);
    expect(sightings.of('L-1')).toHaveLength(0);
  });

  it('bounds the fall of the current at the end of the test', () => {
    const site = siteOf(1);
    const [{ lamps }] = outlookOf(
      site,
      sightingsOf(site, () => 9),
      NOW,
      NEXT,
    );
    expect(lamps[0].endTrend!.slope).toBeCloseTo(-0.02, 6);
    expect(lamps[0].endTrend!.upper).toBeLessThan(0);
  });
});
