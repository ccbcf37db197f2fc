// How deep the tests go. Whatever is slow only because of its size has three sizes, all of them here: small
// on every save, medium on every merge, full on demand. The checks are the same.

export type Depth = 'quick' | 'usual' | 'deep';

interface Sizes {
  /** Runs of a property on random input, as a share of the number that its test names. */
  runs: number;
  /** Bytes from one power-cut position to the next. */
  cutEvery: number;
  /** Dates from which each rule profile is planned. */
  planStarts: number;
  /** Time zones in which buildings are planned. */
  zones: number;
  /** Random buildings planned in each time zone. */
  buildingsPerZone: number;
  /** Small buildings whose plan is compared with the least exposure that a solver finds. */
  solvedBuildings: number;
  /** Random sites sent through random faults. */
  campaignRuns: number;
  /** Of those with the real host. */
  realHostRuns: number;
  /** Packets of an attacker. */
  packets: number;
  /** Small worlds of the core that are explored, and broken cores caught; the deep run has all of them. */
  worlds: number;
  brokenCores: number;
  /** Random power cuts that a journal goes through, on sound and on lying flash each. */
  powerCuts: number;
  /** Tests of a lamp in the noise of its sensor, in each case. */
  noisyTests: number;
  /** Entries made on a phone whose connection comes and goes. */
  phoneEntries: number;
  /** Pieces of the guard board simulated at each temperature. */
  guardSamples: number;
}

const SIZES: { [depth in Depth]: Sizes } = {
  quick: {
    ...{ runs: 0.2, cutEvery: 7, planStarts: 1, zones: 2, buildingsPerZone: 2, solvedBuildings: 1 },
    ...{
      campaignRuns: 12,
      realHostRuns: 1,
      worlds: 1,
      brokenCores: 1,
      packets: 2000,
      powerCuts: 100,
      guardSamples: 4,
      noisyTests: 160,
      phoneEntries: 20,
    },
  },
  usual: {
    ...{ runs: 1, cutEvery: 1, planStarts: 2, zones: 7, buildingsPerZone: 9, solvedBuildings: 5 },
    ...{
      campaignRuns: 40,
      realHostRuns: 2,
      worlds: 3,
      brokenCores: 4,
      packets: 20_000,
      powerCuts: 1000,
      guardSamples: 12,
      noisyTests: 960,
      phoneEntries: 100,
    },
  },
  deep: {
    ...{ runs: 1, cutEvery: 1, planStarts: 4, zones: 7, buildingsPerZone: 145, solvedBuildings: 55 },
    ...{
      campaignRuns: 180,
      realHostRuns: 4,
      worlds: Number.POSITIVE_INFINITY,
      brokenCores: Number.POSITIVE_INFINITY,
    },
    packets: 1_000_000,
    powerCuts: 5000,
    guardSamples: 30,
    noisyTests: 10_000,
    phoneEntries: 1000,
  },
};

/** What would keep CI for more than its half hour, at a size that it has the time for. */
const WITHIN_HALF_HOUR: Partial<Sizes> = {
  ...{ planStarts: 1, buildingsPerZone: 5, solvedBuildings: 5, campaignRuns: 16, powerCuts: 400 },
  ...{ realHostRuns: 2, noisyTests: 1200, phoneEntries: 25, worlds: 3, brokenCores: 7, packets: 100_000 },
  guardSamples: 12,
};

/** @throws Error when DEPTH is none of the three */
function chosen(): Depth {
  const word = process.env.DEPTH || 'usual';
  if (word in SIZES) return word as Depth;
  throw new Error(`DEPTH must be one of ${Object.keys(SIZES).join(', ')}, but is "${word}".`);
}

export const depth: Depth = chosen();
/** In CI every file has its one run, usual or deep, and all of them together half an hour (.ci/run). */
export const isShared = process.env.HALF_HOUR === '1' && depth !== 'quick';
/** Everything at its full size, however long that takes. */
export const isWhole = depth === 'deep' && !isShared;
export const sizes: Sizes =
  isShared && depth === 'deep' ? { ...SIZES.deep, ...WITHIN_HALF_HOUR } : SIZES[depth];

/** Changes of each of so many kinds: by depth, or so many in all as MUTATIONS in the environment says. */
export function changesOfEach(kinds: number, byDepth: { [depth in Depth]: number }): number {
  const each = byDepth[isShared ? 'quick' : depth];
  return Math.ceil(Number(process.env.MUTATIONS ?? each * kinds) / kinds);
}

/** Runs of a property that has `usual` runs on every merge. */
export function runs(usual: number): number {
  return Math.max(1, Math.round(usual * sizes.runs));
}
