import { execFileSync } from 'node:child_process';
import { expect, it } from 'vitest';

it('keeps the heap of a process near what it holds', () => {
  const args = ['--import', 'tsx', 'tests/host/cli/heapLoad.ts', 'modest'];
  const { grown } = JSON.parse(execFileSync(process.execPath, args, { encoding: 'utf8' })) as {
    grown: number;
  };
  // Measured: twice, with what waits and the young generation; by V8's own rules four times.
  expect(grown).toBeLessThan(2.8);
});
