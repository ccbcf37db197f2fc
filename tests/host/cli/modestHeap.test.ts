import { execFileSync } from 'node:child_process';
import { expect, it } from 'vitest';

/** By how much the heap of a process grew beyond what it held. */
function grown(mode: 'modest' | 'own', ...flags: string[]): number {
  const args = [...flags, '--import', 'tsx', 'tests/host/cli/heapLoad.ts', mode];
  return JSON.parse(execFileSync(process.execPath, args, { encoding: 'utf8' })).grown;
}

it('keeps the heap of a process near what it holds', () => {
  // Measured: twice, with what waits and the young generation; by V8's own rules four times.
  expect(grown('modest', '--max-old-space-size=4096')).toBeLessThan(2.8);
});

it('leaves the heap of a small machine to V8, which keeps it nearer still', () => {
  const small = '--max-old-space-size=256';
  // Measured: both 1.9; with half of what is in use as garbage 2.2.
  expect(grown('modest', small)).toBeLessThan(1.08 * grown('own', small));
});
