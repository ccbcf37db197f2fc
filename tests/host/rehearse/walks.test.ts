import { expect, it } from 'vitest';
import { dueDuties } from '../../../host/duties/due';
import { dutiesOf } from '../../../host/duties/duties';
import { readPast } from '../../../host/house/past';
import { openLogbook } from '../../../host/logbook/engines/open';
import { enterWalks } from '../../../host/rehearse/walks';
import { listFirst } from '../house/bench';
import { HOUSE } from '../house/site';
import { KEYS } from '../logbook/records';

const NOW = 1_770_000_000;
const DAY = 86_400;

it('the walks of a simulated time are entered month by month, once, with one finding that was put right', async () => {
  const logbook = await openLogbook(':memory:');
  await listFirst(logbook, HOUSE);
  const span = { site: HOUSE, from: NOW, until: NOW + 100 * DAY };
  await enterWalks(logbook, KEYS, span);
  await enterWalks(logbook, KEYS, span);
  const walks = await logbook.after(0, 100, 'inspection');
  expect(walks).toHaveLength(4);
  expect(walks.map(({ body }) => body.includes('poster'))).toEqual([false, false, true, false]);
  const { inspections } = await readPast(logbook, HOUSE, KEYS);
  expect(inspections.findings()).toEqual([]);
  const walk = dueDuties(dutiesOf(HOUSE), HOUSE, inspections, span.until).find(
    ({ duty }) => duty.id === 'walk',
  );
  expect(walk).toMatchObject({ state: 'later', left: [], last: { who: 'Quilla Thornwick' } });
  await logbook.close();
});
