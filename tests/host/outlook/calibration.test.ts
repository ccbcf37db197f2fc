// What the outlook promises, held against invented fleets whose true lives are known. None of the fade laws is
// a Weibull or log-normal life, and the model was fitted to none of them: two are published shapes, the third is
// the simulator's own battery.
import { describe, expect, it } from 'vitest';
import { type LifeModel, lifeModel } from '../../../host/outlook/lives';
import { newRandom } from '../../../simulator/random';
import { depth } from '../../support/depth';
import { drawFleet, type Fleet, KNEE, type Law, PLANT, ROOT } from './fleets';

const FLEETS = { quick: 25, usual: 100, deep: 400 }[depth];
/** Time to the next yearly test, with some delay, years. */
const NEXT = 1.1;

interface Outcome {
  batteries: number;
  below: number;
  above: number;
  expected: number;
  failed: number;
}

function count(outcome: Outcome, model: LifeModel, { present }: Fleet): void {
  for (const { lastedAt, truth } of present) {
    const reached = model.failsBy(truth, lastedAt);
    outcome.batteries++;
    if (reached < 0.05) outcome.below++;
    if (reached > 0.95) outcome.above++;
    outcome.expected += model.failsBy(lastedAt + NEXT, lastedAt);
    if (truth <= lastedAt + NEXT) outcome.failed++;
  }
}

/** The outcome over fleets with enough known failures, and over those of them with 20 or fewer. */
function outcomeOf(law: Law, fleets: number, model: (fleet: Fleet) => LifeModel | undefined) {
  const none: Outcome = { batteries: 0, below: 0, above: 0, expected: 0, failed: 0 };
  const [all, few] = [{ ...none }, { ...none }];
  for (let seed = 1; seed <= fleets; seed++) {
    const fleet = drawFleet(newRandom(seed * 7919), law);
    const found = model(fleet);
    if (found) count(all, found, fleet);
    if (found && found.failures <= 20) count(few, found, fleet);
  }
  return { all, few };
}

const learned = ({ lives }: Fleet) => lifeModel(lives);
const share = ({ batteries, below, above }: Outcome) => 1 - (below + above) / batteries;

describe.each([
  ['a straight fade with a knee', KNEE],
  ['a fade with the square root of time', ROOT],
  ["the simulator's own battery", PLANT],
] as const)('under %s', (_name, law) => {
  const { all: outcome, few } = outcomeOf(law, FLEETS, learned);

  it('85 to 95 % of the 90 % intervals hold the true life, and both ends err about alike', () => {
    expect(outcome.batteries).toBeGreaterThan(FLEETS * 15);
    expect(share(outcome)).toBeGreaterThan(0.85);
    expect(share(outcome)).toBeLessThan(0.95);
    for (const beyond of [outcome.below, outcome.above]) {
      expect(beyond / outcome.batteries).toBeGreaterThan(0.01);
      expect(beyond / outcome.batteries).toBeLessThan(0.09);
    }
  });

  it('holds also where few failures are known', () => {
    expect(few.batteries).toBeGreaterThan(FLEETS * 2);
    expect(share(few)).toBeGreaterThan(0.83);
    expect(share(few)).toBeLessThan(0.97);
  });

  it('about as many fail before the next yearly test as the probabilities add up to', () => {
    expect(outcome.failed / outcome.expected).toBeGreaterThan(0.8);
    expect(outcome.failed / outcome.expected).toBeLessThan(1.25);
  });
});

it('would notice a model that is too sure of itself', () => {
  const halved = (fleet: Fleet): LifeModel | undefined => {
    const model = learned(fleet);
    // Twice as steep about the median: what a fit without spread between batteries would say.
    return model && { ...model, failsBy: (age, at) => steeper(model.failsBy(age, at)) };
  };
  const steeper = (p: number): number => Math.min(1, Math.max(0, 0.5 + 1.6 * (p - 0.5)));
  expect(share(outcomeOf(PLANT, 25, halved).all)).toBeLessThan(0.85);
});
