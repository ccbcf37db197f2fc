// The nights of a month, by the plan in force or by a forecast: what a manager is told must be what controllers do.
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { createDesired } from '../../../host/house/desired/desired';
import { openKeys, secretFileOf } from '../../../host/keys';
import { openLogbook } from '../../../host/logbook/engines/open';
import { loadMemory } from '../../../host/logbook/memory';
import type { Plan } from '../../../host/planner/plan/plan';
import { signCheckpoint } from '../../../host/proof/ed25519';
import { hostSigner } from '../../../host/proof/hostKey';
import { localDate, monthsAfter } from '../../../host/site/civil';
import { loadSite } from '../../../host/site/load';
import { type Outcome, runCommand } from '../../support/command';

const SITE = 'docs/examples/museum-of-tides.yaml';
const folder = mkdtempSync(join(tmpdir(), 'nightproof-nights-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const zone = 'Europe/London';
const now = Math.floor(Date.now() / 1000);
const monthsAhead = [2, 3, 4, 5, 6, 7, 8].map((n) => monthsAfter(localDate(zone, now), n).slice(0, 7));
const inTwoMonths = monthsAhead[0];

/** A log book whose plan was made by the host a while ago, for other dates without tests than the file has now. */
async function bookWithPlan(): Promise<{ db: string; plan: Plan }> {
  const db = join(folder, 'house.db');
  openKeys(secretFileOf(db));
  const logbook = await openLogbook(db);
  const loaded = loadSite(SITE);
  if (!('site' in loaded)) throw new Error('The demonstration site has mistakes.');
  const memory = await loadMemory(logbook.memory, () => {});
  const desired = createDesired({ site: { ...loaded.site, noTestDates: [] }, memory });
  desired.refresh(now - 20 * 86_400);
  await memory.written();
  await logbook.close();
  return { db, plan: desired.plan()!.plan };
}

/** Circuit and start of each test that the command names. */
function named(json: string): string[] {
  const { tests } = JSON.parse(json) as { tests: { circuit: string; start: string }[] };
  return tests.map(({ circuit, start }) => `${circuit} ${start}`);
}

interface Attempted {
  circuit: string;
  /** UTC seconds of all its attempts. */
  starts: number[];
}

/** A plan's tests with an attempt in the nights of a month. */
function attemptedIn({ circuits }: Plan, month: string): Attempted[] {
  const tests = circuits.flatMap(({ circuit, slots }) =>
    [...new Set(slots.map(({ test }) => test))].map((test) => ({
      circuit,
      starts: slots.filter((slot) => slot.test === test).map(({ start }) => start),
    })),
  );
  return tests
    .filter(({ starts }) => starts.some((start) => isIn(month, start)))
    .sort((a, b) => a.starts[0] - b.starts[0]);
}

/** A test at half past midnight belongs to the night that began the evening before. */
const isIn = (month: string, start: number): boolean =>
  localDate(zone, start - 12 * 3600).slice(0, 7) === month;

const nights = (...args: string[]): Outcome => runCommand(['nights', SITE, ...args]);

describe('the nights of a month', () => {
  it('are those of the plan in force, each under the evening on which it begins', async () => {
    const { db, plan } = await bookWithPlan();
    // A month into which an attempt of the month before it reaches; from which day to which depends on today.
    const month = monthsAhead.find((it) => attemptedIn(plan, it).some(({ starts }) => !isIn(it, starts[0])))!;
    const wanted = attemptedIn(plan, month);
    const begun = wanted.filter(({ starts }) => isIn(month, starts[0]));
    expect(begun.length).toBeGreaterThan(10);
    expect(wanted.length).toBeGreaterThan(begun.length);
    const { code, stdout, stderr } = nights('--db', db, '--month', month, '--json');
    expect([code, stderr]).toEqual([0, '']);
    const iso = (start: number) => `${new Date(start * 1000).toISOString().slice(0, 19)}Z`;
    expect(named(stdout)).toEqual(wanted.map(({ circuit, starts }) => `${circuit} ${iso(starts[0])}`));
    const text = nights('--db', db, '--month', month).stdout;
    expect(text).toContain(`From the plan in force in ${db}.`);
    const eves = text.match(/^Night of \S+ \d+/gm)!.map((line) => line.replace(/^.* /, ''));
    expect(eves.length).toBeGreaterThan(3);
    const last = eves.at(-1);
    expect(text).toContain(
      `${eves.length} nights, from the evening of the ${eves.slice(0, -1).join(', ')} and ${last}.`,
    );
    expect(text.match(/^ {2}\d\d:\d\d to /gm)).toHaveLength(begun.length);
    expect(text.match(/^ {2}night of /gm)).toHaveLength(wanted.length - begun.length);
    expect(text).toContain('If it cannot run then: the night of ');
  });

  it('are a forecast, and called one, where no host has run yet', () => {
    const { code, stdout, stderr } = nights('--db', join(folder, 'none.db'), '--month', inTwoMonths);
    expect([code, stderr]).toEqual([0, '']);
    expect(stdout).toMatch(/There is no log book .*none\.db yet, so this is a forecast/);
    expect(stdout).toMatch(/^Night of /m);
    const inMonth = (json: string) =>
      named(json).filter((test) => isIn(inTwoMonths, Date.parse(test.split(' ')[1]) / 1000));
    const planned = inMonth(runCommand(['plan', SITE, '--json']).stdout);
    expect(planned.length).toBeGreaterThan(10);
    const asked = ['--db', join(folder, 'none.db'), '--month', inTwoMonths, '--json'];
    expect(inMonth(nights(...asked).stdout)).toEqual(planned);
  });

  it('are not those of another building, whose log book lies in the same folder', async () => {
    const db = join(folder, 'harbour.db');
    const signer = hostSigner(openKeys(secretFileOf(db)), 'harbour-library');
    const logbook = await openLogbook(db);
    const text = signCheckpoint(signer, { size: 0, root: await logbook.tree.root() });
    await logbook.checkpoints.add({ size: 0, at: now, text });
    await logbook.close();
    const circuit = 'ground-a';
    for (const args of [
      ['nights', SITE],
      ['plan', SITE, '--changes'],
      ['defects', SITE],
      ['serve', SITE, '--port', '8597', '--broker-port', '8598'],
      [
        'commission',
        circuit,
        SITE,
        '--broker-address',
        '192.168.1.5',
        '--ssid',
        'tests',
        '--wifi-password',
        'tests tests',
        '--out',
        join(folder, 'board'),
      ],
    ]) {
      const { code, stdout, stderr } = runCommand([...args, '--db', db]);
      expect([args[0], code, stdout]).toEqual([args[0], 1, '']);
      expect(stderr).toMatch(
        /^The log book .*harbour\.db belongs to the site "harbour-library", not to "[^"]+": name the site file of "harbour-library", or give with --db the log book of "[^"]+" or a new file\.$/m,
      );
    }
    expect(existsSync(join(folder, 'board'))).toBe(false);
  });

  it.each([
    [
      'a month that does not exist',
      ['--month', '2026-13'],
      /^--month must be .* 2027-01, but is "2026-13"\.$/m,
    ],
    [
      'a month beyond the plan',
      ['--month', '2031-01'],
      /^The plan is for .*; give a month in that time with --month\.$/m,
    ],
  ])('are not invented for %s', (_what, args, sentence) => {
    const { code, stdout, stderr } = nights('--db', join(folder, 'none.db'), ...args);
    expect([code, stdout]).toEqual([1, '']);
    expect(stderr).toMatch(sentence);
  });

  it('are in a plan of one month the same as in a plan of twelve', () => {
    const plan = (months: string) =>
      named(runCommand(['plan', '--from', '2026-12-01', '--months', months, '--json']).stdout);
    const [one, twelve] = [plan('1'), plan('12')];
    expect(one.length).toBeGreaterThan(10);
    expect(one).toEqual(twelve.slice(0, one.length));
  });
});
