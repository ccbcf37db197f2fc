// What the checks of simulated controllers take from a site and its plan.
import { expect, it } from 'vitest';
import { TestKind } from '../../../firmware/contract/codes';
import type { Plan } from '../../../host/planner/plan/plan';
import { profileFor } from '../../../host/profiles/profile';
import { followPlan, rulesOf } from '../../../host/rehearse/estate';
import { HOUSE } from '../house/site';

const DAY = 86_400;

function planFrom(from: number): Plan {
  const share = { cycle: 1, residue: 0, noon: 43_200, fallbackFrom: 3600, fallbackSec: 18_000 };
  return {
    ...{ from, until: from + 400 * DAY },
    circuits: HOUSE.circuits.map(({ id }, i) => ({
      ...{ ...share, circuit: id },
      slots: [{ test: 1, kind: TestKind.Brief, start: from + i * DAY, end: from + i * DAY + 1290 }],
    })),
  };
}

it('permits the slots of a plan that the host renews beside those that controllers may still have', () => {
  const [first, next] = [planFrom(1000 * DAY), planFrom(1010 * DAY)];
  const controllers = HOUSE.circuits.map((circuit) => ({
    ...{ circuit: circuit.id, rules: rulesOf(circuit, first, profileFor(HOUSE)) },
  }));
  const nights = () => controllers.map(({ rules }) => rules.slots.map(({ start }) => start / DAY));
  let plan = first;
  const follow = followPlan(controllers, HOUSE, () => plan);
  follow();
  expect(nights()).toEqual(controllers.map((_, i) => [1000 + i]));
  plan = next;
  follow();
  follow();
  expect(controllers.length).toBeGreaterThan(1);
  expect(nights()).toEqual(controllers.map((_, i) => [1000 + i, 1010 + i]));
  expect(controllers.map(({ rules }) => rules.planUntil)).toEqual(controllers.map(() => next.until));
});
