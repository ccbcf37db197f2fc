// Commissioned currents from the command line, on a log book of a simulated building.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { run } from './support/cli';
import { buildLodge } from './support/lodge';

let folder: string;
let db: string;
let site: string;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-baseline-'));
  db = join(folder, 'months.db');
  site = buildLodge(folder, 2, 60).file;
  expect(await run('simulate', site, '--days', '40', '--db', db)).toMatchObject({ code: 0 });
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const accept = (...args: string[]) => run('baseline', 'accept', site, '--db', db, ...args);

it('lists, refuses the lamp that failed, accepts the others by name, and lists them as accepted', async () => {
  const before = await run('baseline', 'list', site, '--db', db);
  expect(before).toMatchObject({ code: 0, stderr: '' });
  expect(before.stdout).toMatch(/W1-02 +95 \/ 120 .*95 \/ 120 \(site file\)/);
  expect(before.stdout).toMatch(/W1-01 .*W1-01: it did not pass\. The lamp was not lit/);

  const refused = await accept('--circuit', 'wing-1', '--who', 'Maren Tollick');
  expect(refused).toMatchObject({ code: 1, stdout: '' });
  expect(refused.stderr).toMatch(/^W1-01: it did not pass\. The lamp was not lit.*\nNothing was accepted;/);

  const others = ['--luminaire', 'W1-02', 'W1-04'];
  const taken = await accept('--circuit', 'wing-1', '--who', 'Maren Tollick', ...others);
  expect(taken).toMatchObject({ code: 0, stderr: '' });
  expect(taken.stdout).toMatch(/^Accepted by Maren Tollick: W1-02 on battery 95 mA -> \d+ mA/);
  expect(taken.stdout).toContain('Caution:');
  const after = await run('baseline', 'list', site, '--db', db);
  expect(after.stdout).toMatch(/W1-04 .*\(accepted \d{4}-\d\d-\d\d by Maren Tollick\)/);
  expect(after.stdout).toMatch(/W1-03 .*\(site file\)/);
  const checked = await run('check', site, '--db', db);
  expect(checked.stdout).toMatch(/W1-02: in use \d+ mA on battery, .*by Maren Tollick/);
});

it.each([
  [
    'a circuit that is not there',
    ['--circuit', 'wing-9', '--who', 'M'],
    /no circuit "wing-9"; did you mean "wing-1"/,
  ],
  ['no name', ['--circuit', 'wing-1', '--who', ''], /Give your name with --who/],
  ['a name with a quote', ['--circuit', 'wing-1', '--who', 'a"b'], /Give your name with --who/],
  [
    'a luminaire of another circuit',
    ['--circuit', 'wing-2', '--who', 'M', '--luminaire', 'W1-02'],
    /has no luminaire W1-02/,
  ],
])('refuses %s in one sentence', async (_what, args, sentence) => {
  const outcome = await accept(...args);
  expect(outcome).toMatchObject({ code: 1, stdout: '' });
  expect(outcome.stderr).toMatch(sentence);
  expect(outcome.stderr).not.toMatch(/ at .*\.ts/);
});

it('refuses a missing log book', async () => {
  const outcome = await run('baseline', 'list', site, '--db', join(folder, 'none.db'));
  expect(outcome).toMatchObject({ code: 1, stdout: '' });
  expect(outcome.stderr).toMatch(/^There is no log book .*none\.db/);
});
