import { expect, it } from 'vitest';
import { Reason } from '../../../firmware/contract/codes';
import { openLogbook } from '../../../host/logbook/engines/open';
import { failedResults } from '../../../host/server/failedResults';
import { newJournal, resultFields } from '../logbook/records';

const PASS = [1, 0, 90, 300, 300, 290, 2];
const FAIL = [2, Reason.EndedEarly, 80, 300, 290, 0, 2];

it('looks for failed results only so far, says how far, and goes on from there', async () => {
  const logbook = await openLogbook(':memory:');
  const journal = newJournal('demo/a');
  const failing = [2, 3, 9];
  const results = Array.from({ length: 10 }, (_, i) =>
    journal.record('result', resultFields([PASS, failing.includes(i + 1) ? FAIL : PASS])),
  );
  await logbook.appendBatch(results);
  const look = async (limit: number, before?: number) => {
    const range = { limit, ...(before !== undefined && { before }) };
    const { entries, lookedTo } = await failedResults(logbook, range, 4);
    return [entries.map(({ entry }) => entry), lookedTo];
  };
  expect(await look(5)).toEqual([[9], 7]);
  expect(await look(5, 7)).toEqual([[3], 3]);
  expect(await look(5, 3)).toEqual([[2], 0]);
  expect(await look(1)).toEqual([[9], 9]);
  expect(await look(5, 9)).toEqual([[], 5]);
  await logbook.close();
});
