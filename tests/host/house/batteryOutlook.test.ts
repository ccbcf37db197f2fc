// The outlook beside a log book that grows.
import { expect, it } from 'vitest';
import { Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import { createBatteryOutlook } from '../../../host/house/batteryOutlook';
import { openLogbook } from '../../../host/logbook/engines/open';
import { YEAR_SEC } from '../../../host/outlook/batteries';
import type { Luminaire, Site } from '../../../host/site/model';
import { newJournal, resultFields } from '../logbook/records';
import { inFileOrder } from './bench';
import { HOUSE } from './site';

const RATED = 3600;
const FITTED = Date.parse('2020-01-01') / 1000;
const [CIRCUIT] = HOUSE.circuits;
const luminaires = Array.from(
  { length: 14 },
  (_, i): Luminaire => ({
    ...{ ...CIRCUIT.luminaires[0], id: `L-${i}`, ratedSec: RATED, batteryFitted: '2020-01-01' },
  }),
);
const SITE: Site = { ...HOUSE, circuits: [{ ...CIRCUIT, luminaires }] };

it('says too little, then an interval once enough have failed, and nothing of those that are short', async () => {
  const logbook = await openLogbook(':memory:');
  const journal = newJournal('demo/a');
  const test = async (year: number, failed: number) => {
    const rows = luminaires.map((_, i) =>
      i < failed
        ? [Verdict.Fail, Reason.EndedEarly, 3000, 100, 100, 0, 0]
        : [Verdict.Pass, Reason.None, RATED, 100, 100, 95, 0],
    );
    const started = Math.round(FITTED + year * YEAR_SEC);
    await logbook.appendBatch([
      journal.record('result', resultFields(rows, { type: TestKind.Full, started })),
    ]);
  };
  const outlook = createBatteryOutlook(SITE, logbook, inFileOrder(SITE));
  const now = FITTED + 7.5 * YEAR_SEC;
  expect(await outlook.sentence('L-13', now)).toBe('');
  for (const [year, failed] of [
    [1, 0],
    [2, 0],
    [3, 1],
    [4, 3],
    [5, 5],
  ])
    await test(year, failed);
  expect(await outlook.sentence('L-13', now)).toBe(
    'Too little data: 5 seen to last and later fall short from age; 8 are needed.',
  );
  await test(6, 8);
  await test(7, 10);
  expect(await outlook.sentence('L-13', now)).toMatch(
    /^Probably lasts its rated duration until 20\d\d-\d\d; 90 % of such batteries fall short between (now|20\d\d-\d\d) and (after )?20\d\d(-\d\d)?\. An estimate from 10 batteries of its type that failed from age\.$/,
  );
  expect(await outlook.sentence('L-0', now)).toBe('');
  expect(await outlook.sentence('Z-9', now)).toBe('');
  await logbook.close();
});

it('lets everything else go on while it reads years of results', async () => {
  const logbook = await openLogbook(':memory:');
  const journal = newJournal('demo/a');
  const rows = luminaires.map(() => [Verdict.Pass, Reason.None, RATED, 100, 100, 95, 0]);
  const fields = resultFields(rows, { type: TestKind.Full, started: FITTED });
  await logbook.appendBatch(Array.from({ length: 1000 }, () => journal.record('result', fields)));
  let turns = 0;
  let isRead = false;
  const count = () => {
    if (isRead) return;
    turns++;
    setImmediate(count);
  };
  setImmediate(count);
  await createBatteryOutlook(SITE, logbook, inFileOrder(SITE)).sentence('L-0', FITTED);
  isRead = true;
  expect(turns).toBeGreaterThanOrEqual(4);
  await logbook.close();
});
