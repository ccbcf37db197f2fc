// Invented fleets of batteries whose true lives are known, and what a log book would hold of them: yearly tests
// that stop at the rated duration, some of them void, on batteries that were partly old when the log book began.
import type { Life } from '../../../host/outlook/lives';
import { fullMsAt, newBattery } from '../../../simulator/plant/battery';
import { CHEMISTRY, type Chemistry } from '../../../simulator/plant/chemistry';
import { nextGauss, nextUnit, type Random } from '../../../simulator/random';

/** Duration that one battery gives at an age in years, as a multiple of the rated duration. */
type Battery = (years: number) => number;
/** The batteries of one fleet: each call draws another. */
export type Law = (random: Random) => () => Battery;

const YEAR_MS = 365.25 * 86_400_000;

const spread = (random: Random, mean: number, share: number) => mean * Math.exp(share * nextGauss(random));

/**
 * A slow straight fade to a knee, then a steep one: the shape reviewed by P. M. Attia and others, "Knees" in
 * lithium-ion battery aging trajectories, 2022, arXiv:2201.02891. The values are invented.
 */
export const KNEE: Law = (random) => {
  const typical = spread(random, 5, 0.2);
  return () => {
    const margin = spread(random, 1.3, 0.06);
    const fade = spread(random, 0.025, 0.3);
    const knee = spread(random, typical, 0.18);
    return (years) => margin * (1 - fade * years - 5 * fade * Math.max(0, years - knee));
  };
};

/**
 * A fade with the square root of time, as J. Wang and others found for calendar loss: Degradation of lithium ion
 * batteries employing graphite negatives and nickel-cobalt-manganese oxide + spinel manganese oxide positives,
 * part 1, Journal of Power Sources 269, 2014, p. 937, highlights. The values are invented.
 */
export const ROOT: Law = (random) => {
  const typical = spread(random, 0.09, 0.1);
  return () => {
    const margin = spread(random, 1.25, 0.05);
    const fade = spread(random, typical, 0.2);
    return (years) => margin * (1 - fade * Math.sqrt(years));
  };
};

/** The simulator's own battery, of any chemistry, with margin and temperature spread from one to the next. */
export const PLANT: Law = (random) => {
  const kinds = Object.keys(CHEMISTRY) as Chemistry[];
  const chemistry = kinds[Math.floor(nextUnit(random) * kinds.length)];
  const warm = 24 + 8 * nextUnit(random);
  return () => {
    const battery = newBattery(chemistry, 3 * spread(random, 1.25, 0.06), 0.8, warm + 3 * nextGauss(random));
    return (years) => {
      battery.cycles = years;
      return fullMsAt(battery, years * YEAR_MS) / (3 * 3_600_000);
    };
  };
};

export interface Fleet {
  lives: Life[];
  /** Those in use at the end: age at the last test passed, and at which the battery truly falls short. */
  present: { lastedAt: number; truth: number }[];
}

const LIFE_MAX = 200;
/** Shares of tests that prove nothing, and noise of the duration from one test to the next. */
const VOID = 0.05;
const NOISE = 0.01;

function trueLife(battery: Battery): number {
  let [young, old] = [0, LIFE_MAX];
  while (old - young > 1e-3) {
    const years = (young + old) / 2;
    if (battery(years) >= 1) young = years;
    else old = years;
  }
  return old;
}

/** One luminaire over the years; a battery that fails a test is replaced within two months. */
function watch(random: Random, draw: () => Battery, years: number, age: number, fleet: Fleet): void {
  let fitted = -age;
  let battery = draw();
  // Those that failed before the log book began were replaced, and nobody knows when.
  for (; fitted < 0 && trueLife(battery) < -fitted; fitted += 1) battery = draw();
  let life: Life = { lower: 0, upper: Number.POSITIVE_INFINITY, entry: 0 };
  let isKnown = fitted >= 0;
  for (let at = nextUnit(random); at < years; at += 1 + 0.05 * nextGauss(random)) {
    if (at < fitted || nextUnit(random) < VOID) continue;
    const old = at - fitted;
    const isShort = battery(old) * (1 + NOISE * nextGauss(random)) < 1;
    if (isShort) {
      if (isKnown) fleet.lives.push({ ...life, upper: old });
      fitted = at + nextUnit(random) / 6;
      battery = draw();
      life = { lower: 0, upper: Number.POSITIVE_INFINITY, entry: 0 };
      isKnown = true;
    } else {
      life = { ...life, lower: old, entry: isKnown ? life.entry : old };
      isKnown = true;
    }
  }
  if (!isKnown) return;
  fleet.lives.push(life);
  const truth = trueLife(battery);
  if (life.lower > 0 && truth > life.lower) fleet.present.push({ lastedAt: life.lower, truth });
}

/** A fleet of one type after some years of yearly tests; the same random state gives the same. */
export function drawFleet(random: Random, law: Law): Fleet {
  const draw = law(random);
  const fleet: Fleet = { lives: [], present: [] };
  const size = 15 + Math.floor(100 * nextUnit(random));
  const years = 2 + 7 * nextUnit(random);
  const oldest = 5 * nextUnit(random);
  for (let i = 0; i < size; i++) watch(random, draw, years, oldest * nextUnit(random), fleet);
  return fleet;
}
