// What a planned test carries besides its times.
import type { Site } from '../../site/model';
import { isDark } from '../../site/sun';
import type { PlannedTest } from '../plan/plan';
import { Exposure, hoursOfAll } from './exposure';

export interface CostedTest extends PlannedTest {
  /** Hours of exposure, see exposure.ts. */
  exposureHours: number;
  /** Whether the sun is down at its start; null where the site file names no location. */
  dark: boolean | null;
}

/**
 * The exposure of tests that begin at or after a UTC second; it needs nobody's hours after the last recharge.
 */
export function exposureFor(site: Site, tests: PlannedTest[], fromUtcSec: number): Exposure {
  let until = fromUtcSec;
  for (const { recharged } of tests) if (recharged > until) until = recharged;
  return Exposure.of(site, fromUtcSec, until);
}

/** Each test of a plan with its exposure and the sun; none may begin before the UTC second. Quickest circuit by circuit. */
export function costedTests(
  site: Site,
  tests: PlannedTest[],
  fromUtcSec: number,
  exposure = exposureFor(site, tests, fromUtcSec),
): CostedTest[] {
  const { location } = site;
  const hours = hoursOfAll(exposure, tests);
  return tests.map((planned, i) => {
    const { circuit, test, kind, start, end, recharged, more } = planned;
    const exposureHours = hours[i];
    const dark = location ? isDark(location, start) : null;
    // Field by field: copied whole, the tests of a large plan take several times as long.
    const costed: CostedTest = { circuit, test, kind, start, end, recharged, exposureHours, dark };
    if (more) costed.more = more;
    return costed;
  });
}
