// Noise of a Hall current sensor against the limits as shipped. Smallest resolvable current of such a part =
// output noise / sensitivity (Hall sensor data-sheet definition, V1). Sensitivity 185 mV/A and noise 21 mV
// peak to peak are from memory (M); 113 mA peak to peak and 17 mA rms at 6.6 sigma follow (CALC). The board
// reads a burst of 4 per lamp, which is all the filtering there is: 8.6 mA rms. Each run judges 16 lamps at
// once, so 63 runs are 1,008 tests of one lamp. Judged at 1 Hz over 3 h: at least 10,800 readings a test.
// Drawn from one seed: the same every time.
import { beforeAll, describe, expect, it } from 'vitest';
import { Reason, TestKind, Verdict } from '../../firmware/contract/codes';
import { Limit } from '../../firmware/contract/limits';
import { clearJudgement, judgeSample } from '../../firmware/core/judgement';
import { concludeMains, lookOnMains } from '../../firmware/core/mainsLook';
import { takeSettings } from '../../firmware/core/settings';
import { type Core, newCore } from '../../firmware/core/state';
import { newRandom, nextUnit } from '../../simulator/random';
import { SETTINGS } from '../firmware/core/bench';

const SENSITIVITY_MV_PER_A = 185;
const NOISE_MV_PEAK_TO_PEAK = 21;
const PEAK_TO_PEAK_MILLIAMPS = (NOISE_MV_PEAK_TO_PEAK / SENSITIVITY_MV_PER_A) * 1000;
const RMS_MILLIAMPS = PEAK_TO_PEAK_MILLIAMPS / 6.6;
const BURST = 4;
const BATTERY = 200;
const LAMPS = Limit.Luminaires;
const RUNS = 63;
const RATED_SEC = 10_800;

const random = newRandom(20_260_110);

let spare: number | undefined;

/** Gaussian with its whole tail (Box-Muller): the simulator's own is cut off at 3.46 sigma. */
function gauss(): number {
  if (spare !== undefined) {
    const kept = spare;
    spare = undefined;
    return kept;
  }
  const radius = Math.sqrt(-2 * Math.log(1 - nextUnit(random)));
  const angle = 2 * Math.PI * nextUnit(random);
  spare = radius * Math.sin(angle);
  return radius * Math.cos(angle);
}

/** Mean of a burst around the true current, in whole mA as the board gives it. */
function reading(milliamps: number, burst: number): number {
  let sum = 0;
  for (let k = 0; k < burst; k++) sum += gauss();
  return Math.round(milliamps + (sum / burst) * RMS_MILLIAMPS);
}

interface Run {
  core: Core;
  /** Readings of each lamp while the test ran. */
  samples: number;
  /** Readings of a lamp below its floor. */
  dips: number;
  end: Reason;
}

/** One full test of 3 h on 16 lamps; lamp i goes out at `diesSec[i]`. Ends before `untilSec`. */
function run(burst: number, diesSec: number[], untilSec = RATED_SEC): Run {
  const core = newCore(1);
  const lamps = `0,${BATTERY},0,${RATED_SEC};`.repeat(LAMPS);
  if (!takeSettings(core.set, { ...SETTINGS, lamps })) throw new Error('The settings are out of bounds.');
  core.kind = TestKind.Full;
  core.limitMs = RATED_SEC * 1000;
  clearJudgement(core);
  const fill = (sec: number) => {
    for (let i = 0; i < LAMPS; i++)
      core.in.lamp[i] = reading(sec >= 0.4 && sec < diesSec[i] ? BATTERY : 0, burst);
  };
  for (let k = 0; k < Limit.PreSamples; k++) {
    fill(-1);
    lookOnMains(core);
  }
  concludeMains(core);
  core.t0 = 1000;
  core.lastSampleAt = core.t0;
  const result: Run = { core, samples: 0, dips: 0, end: Reason.None };
  let ms = 250;
  while (ms <= untilSec * 1000 && result.end === Reason.None) {
    fill(ms / 1000);
    core.sampleAt = core.t0 + ms;
    result.end = judgeSample(core, core.sampleAt);
    result.samples++;
    if (ms > 1000)
      result.dips += core.in.lamp
        .slice(0, LAMPS)
        .filter((mA) => mA * 100 < SETTINGS.floorPercent * BATTERY).length;
    const step = ms < 60_000 || core.dips > 0 ? Limit.SampleFastMs : 1000;
    ms = ms < RATED_SEC * 1000 ? Math.min(ms + step, RATED_SEC * 1000) : ms + step;
  }
  return result;
}

const NEVER = new Array<number>(LAMPS).fill(Number.POSITIVE_INFINITY);

describe('the assumed noise', () => {
  it('is 113 mA peak to peak and 17 mA rms', () => {
    expect(PEAK_TO_PEAK_MILLIAMPS).toBeCloseTo(113.5, 1);
    expect(RMS_MILLIAMPS).toBeCloseTo(17.2, 1);
  });

  // Averaging N samples lowers random noise by the root of N; 64 samples by 8 (from memory).
  it.each([4, 64])('falls with the root of the readings averaged: %i of them', (burst) => {
    let squares = 0;
    const count = 40_000;
    for (let k = 0; k < count; k++) {
      let sum = 0;
      for (let j = 0; j < burst; j++) sum += gauss();
      squares += (sum / burst) ** 2;
    }
    expect(Math.sqrt(squares / count) * Math.sqrt(burst)).toBeGreaterThan(0.98);
    expect(Math.sqrt(squares / count) * Math.sqrt(burst)).toBeLessThan(1.02);
  });

  it('leaves the floor six sigma away from lamps of 173 mA or more, with the burst of the board', () => {
    const least = (6 * RMS_MILLIAMPS) / Math.sqrt(BURST) / (1 - SETTINGS.floorPercent / 100);
    expect(Math.ceil(least)).toBe(172);
    expect(BATTERY).toBeGreaterThan(least);
  });
});

describe('1,008 full tests of 3 h in that noise', () => {
  let runs: Run[];
  beforeAll(() => {
    runs = Array.from({ length: RUNS }, () => run(BURST, NEVER));
  });

  it('fail no lamp that stays lit to the end', () => {
    const verdicts = runs.flatMap((r) => Array.from(r.core.verdict));
    expect(verdicts).toHaveLength(RUNS * LAMPS);
    expect(verdicts.filter((v) => v !== Verdict.Pass)).toEqual([]);
    expect(runs.filter((r) => r.samples < 10_800)).toEqual([]);
  });
});

it('does not mistake noise for a lamp going out, even without the burst, where dips are frequent', () => {
  const few = Array.from({ length: 6 }, () => run(1, NEVER, RATED_SEC - 1));
  expect(few.reduce((sum, r) => sum + r.dips, 0)).toBeGreaterThan(100);
  expect(few.flatMap((r) => Array.from(r.core.verdict)).filter((v) => v !== Verdict.Open)).toEqual([]);
});

it('reports 1,008 lamps that go out at random minutes within 5 s of the minute, every one', () => {
  let worst = 0;
  for (let k = 0; k < RUNS; k++) {
    const dies = NEVER.map(() => 60 + (Math.floor(Math.abs(gauss() * 1e6)) % (RATED_SEC - 61)));
    const { core } = run(BURST, dies);
    for (let i = 0; i < LAMPS; i++) {
      expect([core.verdict[i], core.why[i]]).toEqual([Verdict.Fail, Reason.EndedEarly]);
      worst = Math.max(worst, Math.abs(core.litSec[i] - dies[i]));
    }
  }
  expect(worst).toBeLessThanOrEqual(5);
});
