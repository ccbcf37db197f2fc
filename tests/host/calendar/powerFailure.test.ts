import { expect, it } from 'vitest';
import { powerFailureIn } from '../../../host/calendar/powerFailure';
import { loadSite } from '../../../host/site/load';

function museum() {
  const loaded = loadSite('docs/examples/museum-of-tides.yaml');
  if ('mistakes' in loaded) throw new Error(loaded.mistakes[0].message);
  return loaded.site;
}

it('people are told to leave what is not ready, a stair too as long as the other is', () => {
  expect(powerFailureIn(museum(), ['North stair', 'Lookout'])).toMatch(
    /^If the power fails: leave North stair, Lookout at once by torchlight/,
  );
});

it('people are never told to leave every way out', () => {
  const text = powerFailureIn(museum(), ['Lookout', 'North stair', 'South stair']);
  expect(text).toMatch(/^If the power fails: leave Lookout at once/);
  expect(text).toMatch(/Go by North stair or South stair by torchlight without stopping there/);
  const only = powerFailureIn(museum(), ['North stair', 'South stair']);
  expect(only).toMatch(/^If the power fails: leave the building by North stair or South stair/);
});
