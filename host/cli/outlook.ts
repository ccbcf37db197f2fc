// `outlook`: by when each battery probably no longer lasts its rated duration. It changes nothing.
import { nowSec, systemClock } from '../clock';
import { createBatteryOutlook } from '../house/batteryOutlook';
import { readPast } from '../house/past';
import { replacementOrder, type TypeOutlook, tooLittle } from '../outlook/outlook';
import { isDate, localDate, monthsAfter, utcOf } from '../site/civil';
import type { Site } from '../site/model';
import { isoUtc } from '../words/when';
import { Mistake } from './arguments';
import { withLogbook } from './baseline';
import { outlookLines } from './outlookLines';

export interface OutlookOptions {
  site: Site;
  db: string;
  /** Local date; a year from today by default. */
  by?: string;
  budget?: number;
  json: boolean;
}

/** UTC second at which the day asked for begins. @throws Mistake */
function bySecond(site: Site, by: string | undefined, now: number): number {
  const today = localDate(site.timeZone, now);
  if (by !== undefined && !isDate(by))
    throw new Mistake(`--by must be a real date written YYYY-MM-DD, but is "${by}".`);
  if (by !== undefined && by <= today)
    throw new Mistake(`--by must be a date after today, ${today}, but is ${by}.`);
  return utcOf(site.timeZone, by ?? monthsAfter(today, 12), 0, 'start');
}

function outlookJson(types: readonly TypeOutlook[]): string {
  const lampsOf = (one: TypeOutlook) =>
    one.lamps.map(({ luminaire, circuit, batteries, forecast, endTrend }) => ({
      ...{
        luminaire: luminaire.id,
        circuit,
        fitted: luminaire.batteryFitted,
        state: batteries.present.state,
      },
      forecast: forecast
        ? {
            ...{
              early: isoUtc(forecast.early),
              likely: isoUtc(forecast.likely),
              late: isoUtc(forecast.late),
            },
            chance: forecast.chance,
          }
        : null,
      endTrend: endTrend ?? null,
    }));
  return JSON.stringify({
    types: types.map((one) => ({
      ...{ ...one.type, failures: one.failures, undated: one.undated, tooLittle: tooLittle(one) },
      luminaires: lampsOf(one),
    })),
    replace: replacementOrder(types).map(({ luminaire }) => luminaire.id),
  });
}

/** @returns the exit code. @throws Error with one sentence for a mistake. */
export async function outlookCommand(o: OutlookOptions): Promise<number> {
  const { site, budget } = o;
  const now = nowSec(systemClock);
  const by = bySecond(site, o.by, now);
  const types = await withLogbook(o, async (logbook, keys) => {
    const past = await readPast(logbook, site, keys);
    return createBatteryOutlook(site, logbook, past.notes.listed).types(now, by);
  });
  const text = o.json ? outlookJson(types) : outlookLines(site, types, { now, by, budget }).join('\n');
  process.stdout.write(`${text}\n`);
  return 0;
}
