// `simulate`: days of a site in seconds, no broker, everything checked after every event.
import { existsSync } from 'node:fs';
import { seededKeys } from '../keys';
import { openLogbook } from '../logbook/sqlite/open';
import type { Site } from '../site/model';
import { Rehearsal, type TestCounts, type VerdictCounts } from './rehearsal';

export interface SimulateOptions {
  site: Site;
  days: number;
  seed: number;
  json: boolean;
  /** Keep the log book in this new file; in memory without it. */
  db?: string;
}

export interface SimulateResult {
  controllerDays: number;
  seconds: number;
  tests: TestCounts;
  violations: number;
  recordsWritten: number;
  recordsInLogbook: number;
  chainValid: boolean;
  finalHash: string;
}

function sum(c: VerdictCounts): number {
  return c.pass + c.fail + c.void;
}

function summary(r: SimulateResult): string {
  const line = (name: string, c: VerdictCounts) =>
    `  ${name}: ${c.pass} passed, ${c.fail} failed, ${c.void} void`;
  return [
    `Simulated ${r.controllerDays} controller-days in ${r.seconds.toFixed(1)} s.`,
    'Tests, counted per luminaire:',
    line('brief', r.tests.brief),
    line('full ', r.tests.full),
    ...(sum(r.tests.limited) > 0 ? [line('limited (2/3), not full', r.tests.limited)] : []),
    `Records written ${r.recordsWritten}, in the log book ${r.recordsInLogbook}, chain ${r.chainValid ? 'valid' : 'BROKEN'}.`,
    `Invariants broken: ${r.violations}.`,
    `Final hash ${r.finalHash}`,
  ].join('\n');
}

/**
 * Runs the simulation. Pure but for the clock that tells how long it took and the log book's file.
 * @throws Error with one sentence when the file is there already: invented records must not get among real ones.
 */
export function simulate(o: SimulateOptions): { result: SimulateResult; violations: string[] } {
  if (o.db !== undefined && existsSync(o.db))
    throw new Error(`${o.db} exists already; name a new file with --db for the simulated log book.`);
  const began = performance.now();
  const logbook = openLogbook(o.db ?? ':memory:');
  try {
    const keys = seededKeys(o.seed);
    const rehearsal = new Rehearsal({ site: o.site, seed: o.seed, days: o.days, keys, logbook });
    rehearsal.runDays(o.days);
    rehearsal.settle();
    const verification = logbook.verify(keys);
    const result: SimulateResult = {
      controllerDays: o.days * o.site.circuits.length,
      seconds: Math.round(performance.now() - began) / 1000,
      tests: rehearsal.tests,
      violations: rehearsal.watch.violations.length,
      recordsWritten: rehearsal.recordsWritten(),
      recordsInLogbook: logbook.entries(),
      chainValid: verification.valid,
      finalHash: verification.finalHash,
    };
    return { result, violations: rehearsal.watch.violations };
  } finally {
    logbook.close();
  }
}

/** @returns the exit code: 0 when no invariant broke, nothing was lost and the chain is valid. */
export function simulateCommand(o: SimulateOptions): number {
  const { result, violations } = simulate(o);
  for (const sentence of violations) process.stderr.write(`${sentence}\n`);
  process.stdout.write(`${o.json ? JSON.stringify(result) : summary(result)}\n`);
  const whole = result.chainValid && result.recordsWritten === result.recordsInLogbook;
  return result.violations === 0 && whole ? 0 : 1;
}
