// The status in few words says the same as the whole one.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { ResultRecord } from '../../../firmware/contract/messages';
import { packStatus, unpackStatus } from '../../../host/api/packed';
import type { StatusView } from '../../../host/api/views';
import { readRecord } from '../../../host/records/schema';
import { newBench } from '../house/bench';
import { newJournal, resultFields } from '../logbook/records';

const NOW = 1_770_000_000;

function statusAfter(results: { type: number; lamps: number[][] }[]): StatusView {
  const bench = newBench();
  const journal = newJournal('demo/a');
  results.forEach(({ type, lamps }, i) => {
    const text = journal.next('result', resultFields(lamps, { type, started: NOW + i * 3600 }));
    bench.record('a', readRecord(text) as ResultRecord, NOW + i * 3600);
  });
  const status = bench.status(NOW + results.length * 3600, 1);
  return { ...status, checkpoint: null, taking: null };
}

test('whatever the results were, the page gets back the status that was packed', () => {
  const row = fc
    .tuple(fc.constantFrom(1, 2, 3), fc.constantFrom(0, 1, 4, 20), fc.constantFrom(0, 90, 3600))
    .map(([verdict, reason, sec]) => [verdict, reason, sec, 300, 300, 290, 2]);
  const lamps = fc.array(row, { minLength: 2, maxLength: 2 });
  const result = fc.record({ type: fc.constantFrom(1, 2, 3), lamps });
  fc.assert(
    fc.property(fc.array(result, { maxLength: 6 }), (results) => {
      const status = statusAfter(results);
      expect(unpackStatus(JSON.parse(JSON.stringify(packStatus(status))))).toEqual(status);
    }),
  );
});

test('luminaires in the same state are described once', () => {
  const pass = [1, 0, 90, 300, 300, 290, 2];
  const fail = [2, 1, 0, 300, 300, 0, 2];
  const of = (lamps: number[][]) => packStatus(statusAfter([{ type: 1, lamps }])).controllers[0].lamps;
  expect(of([pass, pass])).toMatchObject({ ids: ['A-01', 'A-02'], which: [0, 0] });
  expect(of([pass, pass]).said).toHaveLength(1);
  expect(of([pass, fail]).which).toEqual([0, 1]);
});
