// The outlook of a building: for each luminaire by when its battery probably no longer lasts the rated duration.
// Batteries of one type learn from each other; a type with too little data is promised nothing.
import type { Chemistry, Circuit, Luminaire, Site } from '../site/model';
import { type Batteries, batteriesOf, YEAR_SEC } from './batteries';
import { FAILURES_MIN, type LifeModel, lifeModel } from './lives';
import { type MeanEvents, meanCumulative } from './meanCumulative';
import type { Sightings } from './seen';
import { type Trend, theilSen } from './theilSen';

/** Batteries that are taken to age alike. */
export interface BatteryType {
  chemistry: Chemistry;
  ratedSec: number;
  /** Middle of the band of temperature they stand in, degrees C; null: not stated. */
  celsius: number | null;
}

/** By when a battery probably falls short, UTC seconds: 5, 50 and 95 % of such batteries have by then. */
export interface Forecast {
  early: number;
  likely: number;
  late: number;
  /** Probability that it falls short by the day asked for. */
  chance: number;
}

export interface LampOutlook {
  luminaire: Luminaire;
  circuit: string;
  batteries: Batteries;
  forecast: Forecast | undefined;
  /** Change per year of the current at the end of its duration tests, share of that at 60 s; undefined: too few. */
  endTrend: Trend | undefined;
}

export interface TypeOutlook {
  type: BatteryType;
  lamps: LampOutlook[];
  /** Failures from age whose age is known, and those whose is not. */
  failures: number;
  undated: number;
  /** Mean number of failures from age per luminaire, by years since the log book began. */
  failuresPerLamp: MeanEvents[];
  /** Undefined where there is too little data. */
  model: LifeModel | undefined;
}

/** In years. */
const WEEK = 7 / 365.25;
/** Width of a band of temperature, degrees C. */
const BAND = 10;
/** A share of failures of unknown age above this makes those of known age a selection. */
const UNDATED_SHARE = 0.2;
/** Tests from which the trend of the end current can be bounded, and half of a 90 % interval in deviations. */
const TREND_MIN = 4;
const DEVIATIONS_90 = 1.6448536269514722;

function typeOf({ chemistry, ratedSec, celsius }: Luminaire): BatteryType {
  return { chemistry, ratedSec, celsius: celsius === undefined ? null : BAND * Math.round(celsius / BAND) };
}

function endTrendOf(luminaire: Luminaire, sightings: Sightings, fitted: number): Trend | undefined {
  const tests = sightings
    .of(luminaire.id)
    .filter(({ at, endShare, litSec }) => at >= fitted && endShare > 0 && litSec >= luminaire.ratedSec);
  if (tests.length < TREND_MIN) return undefined;
  return theilSen(
    tests.map(({ at }) => at / YEAR_SEC),
    tests.map(({ endShare }) => endShare),
    DEVIATIONS_90,
  );
}

function lampOf(luminaire: Luminaire, circuit: Circuit, sightings: Sightings): LampOutlook {
  const batteries = batteriesOf(luminaire, sightings.of(luminaire.id), sightings.since());
  const endTrend = endTrendOf(luminaire, sightings, batteries.fitted);
  return { luminaire, circuit: circuit.id, batteries, endTrend, forecast: undefined };
}

/** Forecasts; batteries that last passed at the same age, rounded to a week, share one. */
function forecaster(model: LifeModel, by: number): (batteries: Batteries) => Forecast | undefined {
  const known = new Map<number, number[]>();
  const agesFrom = (lastedAt: number): number[] => {
    const week = Math.round(lastedAt / WEEK);
    const found = known.get(week) ?? [0.05, 0.5, 0.95].map((share) => model.ageAt(share, week * WEEK));
    known.set(week, found);
    return found;
  };
  return ({ present, fitted }) => {
    if (present.state !== 'lasts') return undefined;
    const [early, likely, late] = agesFrom(present.lastedAt).map((age) =>
      Math.round(fitted + age * YEAR_SEC),
    );
    return { early, likely, late, chance: model.failsBy((by - fitted) / YEAR_SEC, present.lastedAt) };
  };
}

function typeOutlook(
  type: BatteryType,
  lamps: LampOutlook[],
  since: number,
  now: number,
  by: number,
): TypeOutlook {
  const lives = lamps.flatMap(({ batteries }) => batteries.lives);
  const failures = lives.filter(({ upper }) => Number.isFinite(upper)).length;
  const undated = lamps.reduce((sum, { batteries }) => sum + batteries.undated, 0);
  const isSelection = undated > UNDATED_SHARE * (failures + undated);
  const model = isSelection ? undefined : lifeModel(lives);
  const forecast = model && forecaster(model, by);
  const yearsTo = (at: number) => (at - since) / YEAR_SEC;
  const watched = lamps.map(({ batteries }) => ({
    ...{ from: 0, to: yearsTo(now), events: batteries.failedAt.filter((at) => at > since).map(yearsTo) },
  }));
  return {
    ...{ type, failures, undated, model, failuresPerLamp: meanCumulative(watched) },
    lamps: lamps.map((lamp) => ({ ...lamp, forecast: forecast?.(lamp.batteries) })),
  };
}

/**
 * The outlook of a site, type by type.
 * @param now UTC second
 * @param by UTC second up to which the chance of falling short is given
 */
export function outlookOf(site: Site, sightings: Sightings, now: number, by: number): TypeOutlook[] {
  const types = new Map<string, { type: BatteryType; lamps: LampOutlook[] }>();
  for (const circuit of site.circuits)
    for (const luminaire of circuit.luminaires) {
      const type = typeOf(luminaire);
      const key = JSON.stringify(type);
      const found = types.get(key) ?? { type, lamps: [] };
      found.lamps.push(lampOf(luminaire, circuit, sightings));
      types.set(key, found);
    }
  const since = sightings.since();
  return [...types.values()].map(({ type, lamps }) => typeOutlook(type, lamps, since, now, by));
}

/** Luminaires to get a new battery first: those that fell short already, then by chance, the highest first. */
export function replacementOrder(types: readonly TypeOutlook[]): LampOutlook[] {
  const rank = ({ batteries, forecast }: LampOutlook) =>
    batteries.present.state === 'failed' ? 2 : (forecast?.chance ?? 0);
  return types
    .flatMap(({ lamps }) => lamps)
    .filter((lamp) => rank(lamp) > 0)
    .sort((a, b) => rank(b) - rank(a) || (a.luminaire.id < b.luminaire.id ? -1 : 1));
}

/** Why a type is promised nothing; '' if it is. */
export function tooLittle({ model, failures, undated }: TypeOutlook): string {
  if (model) return '';
  if (undated > UNDATED_SHARE * (failures + undated))
    return (
      `${undated} of ${failures + undated} failures are of batteries whose date is not in the site file; ` +
      'write it there (batteriesBefore)'
    );
  if (failures < FAILURES_MIN)
    return `${failures} seen to last and later fall short from age; ${FAILURES_MIN} are needed`;
  return 'the known lives do not yet tell short from long ones';
}
