// `simulate`: days of a site with the whole host, or years of an estate on all cores; no broker, everything
// checked after every event.
import type { Verdicts } from '../../simulator/run/leanHost';
import type { FleetSpec } from '../../simulator/spec';
import { nowSec, systemClock } from '../clock';
import { keepSeededKeys, secretFileOf, seededKeys } from '../keys';
import type { Verification } from '../logbook/logbook';
import { startUtcMs } from '../rehearse/estate';
import { Gathered } from '../rehearse/gathered';
import { longRun } from '../rehearse/longRun';
import type { RecordCounts, TestCounts } from '../rehearse/rehearsal';
import { yearFromMs, yearOf } from '../rehearse/yearData';
import { dateAfter, localDate } from '../site/civil';
import type { Site } from '../site/model';
import { dateWord } from '../words/when';
import { startProgress } from './progress';

export interface SimulateOptions {
  site: Site;
  days: number;
  seed: number;
  json: boolean;
  /** Also tell how fast it was, and a hash of all records. */
  verbose?: boolean;
  /** Keep the log book in this new file; by default it is in memory. */
  db?: string;
  /** Each controller on its own, instead of all with the whole host. */
  isAlone?: boolean;
  /** Threads for that (see LongRunOptions). */
  workers?: number;
  /** File into which the last year is drawn, in runs of years. */
  svg?: string;
  /** Run controllers and host on this broker, at this pace (onBroker.ts). */
  broker?: { url: string; siteFile: string; pace?: number };
}

export interface SimulateResult {
  controllerDays: number;
  controllerYears: number;
  /** First and last simulated day, local dates. */
  from: string;
  until: string;
  /** Wall clock time, and time of all cores together, including planning, start and end. */
  seconds: number;
  cpuSeconds: number;
  /** Controller-years per second and core, counting the seconds the cores were busy. */
  controllerYearsPerSecond: number;
  workers: number;
  tests: TestCounts;
  violations: number;
  recordsWritten: number;
  recordsInLogbook: number;
  recordsLost: number;
  recordsDuplicated: number;
  /** Entries of the whole log book: these records and what the host wrote; 0 without a log book. */
  entries: number;
  chainValid: boolean;
  finalHash: string;
}

type Outcome = Omit<
  SimulateResult,
  'controllerDays' | 'controllerYears' | 'from' | 'until' | keyof ReturnType<Stopwatch>
>;
interface Done {
  outcome: Outcome;
  violations: string[];
}

type Stopwatch = () => { seconds: number; cpuSeconds: number; controllerYearsPerSecond: number };

const YEAR_DAYS = 365.25;

/** Whole days in a number of years. */
export function daysOf(years: number): number {
  return Math.round(years * YEAR_DAYS);
}

function sum(c: Verdicts): number {
  return c.pass + c.fail + c.void;
}

function forDevelopers(r: SimulateResult): string[] {
  return [
    `${r.controllerYearsPerSecond} controller-years per second and core.`,
    `Hash of all records: ${r.finalHash}`,
  ];
}

/** Records later than today look as if a clock were wrong, so it is said where they come from. */
function daysWords({ from, until }: SimulateResult, today: string): string {
  const ahead = until > today ? ' The last of them lie in the future.' : '';
  return `The simulated days are ${dateWord(from)} to ${dateWord(until)}.${ahead}`;
}

function summary(r: SimulateResult, today: string, isVerbose: boolean): string {
  const line = (name: string, c: Verdicts) => `  ${name}: ${c.pass} passed, ${c.fail} failed, ${c.void} void`;
  return [
    `Simulated ${r.controllerDays} controller-days in ${r.seconds.toFixed(1)} s.`,
    daysWords(r, today),
    'Tests, counted per luminaire:',
    line('function', r.tests.brief),
    line('duration', r.tests.full),
    ...(sum(r.tests.limited) > 0 ? [line('limited duration (2/3)', r.tests.limited)] : []),
    `Records of controllers written: ${r.recordsWritten}; in the log book: ${r.recordsInLogbook}; chain ${r.chainValid ? 'valid' : 'BROKEN'}.`,
    ...(r.entries > 0 ? [`With what the host wrote, the log book has ${r.entries} entries.`] : []),
    `Invariants broken: ${r.violations}.`,
    ...(isVerbose ? forDevelopers(r) : []),
  ].join('\n');
}

function stopwatch(controllerYears: number): Stopwatch {
  const began = performance.now();
  const before = process.cpuUsage();
  return () => {
    const { user, system } = process.cpuUsage(before);
    const cpuSeconds = (user + system) / 1e6;
    return {
      seconds: Math.round(performance.now() - began) / 1000,
      cpuSeconds: Math.round(cpuSeconds * 1000) / 1000,
      controllerYearsPerSecond: Number((controllerYears / cpuSeconds).toPrecision(4)),
    };
  };
}

/** Result of a run with a whole log book. */
function outcomeOf(
  violations: string[],
  tests: TestCounts,
  { written, inLogbook }: RecordCounts,
  kept: Verification,
): Outcome {
  return {
    workers: 1,
    tests,
    violations: violations.length,
    recordsWritten: written,
    recordsInLogbook: inLogbook,
    recordsLost: Math.max(0, written - inLogbook),
    recordsDuplicated: Math.max(0, inLogbook - written),
    entries: kept.entries,
    chainValid: kept.valid,
    finalHash: kept.finalHash,
  };
}

async function withWholeHost(o: SimulateOptions): Promise<Done> {
  // Log book, packets and shapes of records take a while to load, and years need none of them.
  const { openLogbook } = await import('../logbook/engines/open');
  const { noteSimulated } = await import('../logbook/simulated');
  const { Rehearsal, recordsIn } = await import('../rehearse/rehearsal');
  const kept =
    o.db === undefined ? 'Nothing is kept.' : `The log book ${o.db} has what was recorded until then.`;
  const bar = startProgress({ total: o.days, what: 'days', isQuiet: o.json, kept });
  const logbook = await openLogbook(o.db ?? ':memory:');
  try {
    await noteSimulated(logbook);
    const keys = seededKeys(o.seed);
    const rehearsal = await Rehearsal.start({ site: o.site, seed: o.seed, days: o.days, keys, logbook });
    await rehearsal.runDays(o.days, () => bar.step());
    await rehearsal.settle();
    bar.end();
    const { violations } = rehearsal.watch;
    const verification = await logbook.verify(keys);
    const records = { written: rehearsal.recordsWritten(), inLogbook: await recordsIn(logbook) };
    const outcome = outcomeOf(violations, rehearsal.tests, records, verification);
    return { outcome, violations };
  } finally {
    await logbook.close();
  }
}

async function alone(o: SimulateOptions): Promise<Done> {
  const { site, seed, days, workers } = o;
  const bar = startProgress({ total: days, what: 'days', isQuiet: o.json });
  const gathered = new Gathered(site, yearFromMs(days));
  let done = 0;
  const { violations, recordsBroken, ...counts } = await longRun({
    ...{ site, seed, days },
    ...(workers !== undefined && { workers }),
    keys: seededKeys(seed),
    ...(o.svg !== undefined && { prepare: (fleet: FleetSpec) => gathered.prepare(fleet) }),
    onSpan: (upTo, _heaps, standings) => {
      gathered.take(standings);
      bar.step(upTo - done);
      done = upTo;
    },
  });
  bar.end();
  if (o.svg !== undefined)
    (await import('./pictureFile')).writePicture(o.svg, [yearOf(site, site.name, gathered.stories(), days)]);
  const outcome: Outcome = {
    ...counts,
    entries: 0,
    violations: violations.length,
    chainValid: recordsBroken === 0,
  };
  return { outcome, violations };
}

async function onBroker(o: SimulateOptions, broker: NonNullable<SimulateOptions['broker']>): Promise<Done> {
  const { site, days, seed, db } = o;
  const { url, ...rest } = broker;
  // The page and the broker's client take a second to load, and no other run needs them.
  const { runOnBroker } = await import('../rehearse/onBroker');
  const done = await runOnBroker({
    ...{ site, days, seed },
    ...rest,
    broker: url,
    ...(db !== undefined && { db }),
  });
  const { violations, tests, records, verification } = done;
  return { outcome: outcomeOf(violations, tests, records, verification), violations };
}

/** @throws Error if the log book is there already */
async function prepareBook(db: string, seed: number): Promise<void> {
  const { isLogbookThere } = await import('../logbook/engines/open');
  if (await isLogbookThere(db))
    throw new Error(`${db} already exists; give a new file with --db for the simulated log book.`);
  keepSeededKeys(secretFileOf(db), seed);
}

async function run(o: SimulateOptions): Promise<Done> {
  if (o.db !== undefined) await prepareBook(o.db, o.seed);
  if (o.broker) return onBroker(o, o.broker);
  return o.isAlone ? alone(o) : withWholeHost(o);
}

/**
 * Runs the simulation. Pure except for the clock that times it, the log book's file and the broker.
 * @throws Error with one sentence if the file already exists, because invented records must not mix with real
 * ones; or if there is no broker.
 */
export async function simulate(
  o: SimulateOptions,
): Promise<{ result: SimulateResult; violations: string[] }> {
  const controllerDays = o.days * o.site.circuits.length;
  const years = controllerDays / YEAR_DAYS;
  const stop = stopwatch(years);
  const { outcome, violations } = await run(o);
  const controllerYears = Math.round(years * 1000) / 1000;
  const startSec = startUtcMs(o.site) / 1000;
  const from = localDate(o.site.timeZone, startSec);
  const until = dateAfter(from, o.days);
  return { result: { controllerDays, controllerYears, from, until, ...stop(), ...outcome }, violations };
}

/** @returns the exit code: 0 if no invariant broke, nothing was lost and the chain is valid. */
export async function simulateCommand(o: SimulateOptions): Promise<number> {
  const { result, violations } = await simulate(o);
  for (const sentence of violations) process.stderr.write(`${sentence}\n`);
  const today = localDate(o.site.timeZone, nowSec(systemClock));
  process.stdout.write(`${o.json ? JSON.stringify(result) : summary(result, today, o.verbose === true)}\n`);
  const whole = result.chainValid && result.recordsWritten === result.recordsInLogbook;
  return result.violations === 0 && whole ? 0 : 1;
}
