// A host that works on while it reads the log book for a changed site, with a real log book.
import { setImmediate as nextTurn } from 'node:timers/promises';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { readPast } from '../../../host/house/past';
import { openLogbook } from '../../../host/logbook/engines/open';
import type { Logbook } from '../../../host/logbook/logbook';
import { createTakingOver, type ReadySite, type TakingOver } from '../../../host/serve/takingOver';
import type { Site } from '../../../host/site/model';
import { listFirst } from '../house/bench';
import { HOUSE } from '../house/site';
import { KEYS, newJournal, resultFields } from '../logbook/records';

const RECORDS = 700;
const PASS = [1, 0, 90, 300, 300, 290, 2];
const FAIL = [2, 1, 0, 0, 0, 0, 2];
const [A, B] = HOUSE.circuits;

let logbook: Logbook;
let started: ReadySite[];
let taking: TakingOver;
beforeEach(async () => {
  logbook = await openLogbook(':memory:');
  await listFirst(logbook, HOUSE);
  const journal = newJournal('demo/a');
  const result = (test: number) => resultFields([PASS, test % 9 === 0 ? FAIL : PASS], { test, type: 2 });
  await logbook.appendBatch(
    Array.from({ length: RECORDS }, (_, i) => journal.record('result', result(i + 1))),
  );
  started = [];
  const start = (next: ReadySite) => void started.push(next);
  taking = createTakingOver({ site: HOUSE, keys: KEYS, logbook, start, onProblem: () => {} });
});
afterEach(async () => {
  taking.stop();
  await logbook.close();
});

/** The site with another current of its first luminaire. */
function changed(): Site {
  const [first, ...others] = A.luminaires;
  return {
    ...HOUSE,
    circuits: [{ ...A, luminaires: [{ ...first, batteryMilliamps: 310 }, ...others] }, B],
  };
}
const next = (site: Site, hindrance = () => '') => ({ site, revision: 'abc', hindrance });

/** How far it was at each turn of the event loop until the new site was started with. */
async function percents(): Promise<number[]> {
  const seen: number[] = [];
  while (started.length === 0) {
    await nextTurn();
    const { percent = -1 } = taking.view() ?? {};
    if (percent !== seen[seen.length - 1]) seen.push(percent);
  }
  return seen;
}

it('reads a long log book in short turns, says how far it is, and starts with what it read', async () => {
  expect(taking.view()).toBeNull();
  taking.begin(next(changed()));
  const seen = await percents();
  expect(seen.length).toBeGreaterThan(3);
  expect(seen).toEqual(seen.toSorted((a, b) => a - b));
  expect(started).toMatchObject([{ site: changed(), siteRevision: 'abc' }]);
  expect(started[0].past).toEqual((await readPast(logbook, changed(), KEYS)).state());
});

it('reads nothing where the entries say the same of the changed site', async () => {
  taking.begin(next({ ...HOUSE, name: 'Another house' }));
  expect(started).toHaveLength(1);
  expect(started[0].past).toBeUndefined();
});

it('waits for a test or a fault that began since the change was saved, and says so', async () => {
  let hindrance = 'a test is running on circuit a, which this changes';
  taking.begin(next({ ...HOUSE, name: 'Another house' }, () => hindrance));
  expect(started).toEqual([]);
  expect(taking.view()).toEqual({ percent: 100, waits: hindrance });
  hindrance = '';
  await expect.poll(() => started.length).toBe(1);
});

it('starts nothing after the host has stopped', async () => {
  taking.begin(next(changed()));
  taking.stop();
  for (let turn = 0; turn < 20; turn++) await nextTurn();
  expect(started).toEqual([]);
});
