// Tests of lamps whose readings are noisy, by the core's own discharge: many in little time, because nothing
// but the core runs.
import { Phase, Reason, type TestKind } from '../../firmware/contract/codes';
import { Limit } from '../../firmware/contract/limits';
import { dischargeStep, intentStored, openingStep, prepareOpening } from '../../firmware/core/discharge';
import { closeJudgement } from '../../firmware/core/judgement';
import { concludeMains, isNoisy, lookOnMains } from '../../firmware/core/mainsLook';
import { takeSettings } from '../../firmware/core/settings';
import { type Core, newCore, Sense, Stage } from '../../firmware/core/state';
import { newRandom, next32, nextUnit, type Random } from '../../simulator/random';
import { SETTINGS } from '../firmware/core/bench';

const DRAWS = 65_536;
/** That of the profiles. */
const BRIEF_SEC = 90;

/** Values of a normal distribution with its tails (Box-Muller), to draw from. */
function drawGauss(): Float64Array {
  const random = newRandom(20_260_110);
  return Float64Array.from({ length: DRAWS }, () => {
    const radius = Math.sqrt(-2 * Math.log(1 - nextUnit(random)));
    return radius * Math.sin(2 * Math.PI * nextUnit(random));
  });
}

const GAUSS = drawGauss();

/** Noise of one reading, in standard deviations. */
export function gaussOf(random: Random): number {
  return GAUSS[next32(random) & (DRAWS - 1)];
}

/** One circuit and one test of it. */
export interface NoisyTest {
  /** Commissioned currents of every lamp, mA; on mains 0 where it is dark there. */
  batteryMilliamps: number;
  mainsMilliamps?: number;
  /** How many lamps, 1 to 16. */
  lamps: number;
  kind: TestKind;
  ratedSec: number;
  /** Noise of a reading, mA rms. */
  noise: number;
  /** True current of a lamp, mA, `ms` after the supply went; negative: on mains. */
  current: (lamp: number, ms: number) => number;
}

const OPENED_AT = 1_000_000;
const DARK_AFTER_MS = 250;

/** Runs the test from its look on mains to its verdicts. */
export function runNoisy(test: NoisyTest, random: Random): Core {
  const core = newCore(1);
  const mains = test.mainsMilliamps ?? 0;
  const row = `${mains > 0 ? 1 : 0},${test.batteryMilliamps},${mains},${test.ratedSec};`;
  const lamps = row.repeat(test.lamps);
  if (!takeSettings(core.set, { ...SETTINGS, briefSec: BRIEF_SEC, lamps }))
    throw new Error('These lamps are out of bounds.');
  const fill = (ms: number): void => {
    for (let i = 0; i < test.lamps; i++)
      core.in.lamp[i] = Math.round(test.current(i, ms) + gaussOf(random) * test.noise);
  };
  core.level.set([1, 1, 0]);
  core.raw.set([1, 1, 0]);
  prepareOpening(core, test.kind, 1, 1, 0, Number.MAX_SAFE_INTEGER, OPENED_AT - 1000);
  const look = (count: number): void => {
    while (core.preCount < count) {
      fill(-1);
      lookOnMains(core);
    }
  };
  look(Limit.PreSamples);
  if (isNoisy(core)) look(Limit.LookMs / Limit.SampleFastMs);
  concludeMains(core);
  core.stage = Stage.IntentWritten;
  intentStored(core, 1, OPENED_AT);
  core.level[Sense.After] = 0;
  core.raw[Sense.After] = 0;
  core.rawAt[Sense.After] = OPENED_AT + DARK_AFTER_MS;
  openingStep(core, OPENED_AT + 2 * DARK_AFTER_MS);
  while (core.phase === Phase.Brief || core.phase === Phase.Full) {
    const now = core.wakeAt;
    if (now >= core.sampleAt) fill(now - core.t0);
    core.wakeAt = Number.POSITIVE_INFINITY;
    dischargeStep(core, now);
  }
  closeJudgement(core, core.end);
  if (core.end === Reason.None) throw new Error('The test has not ended.');
  return core;
}
