// `trace save` and `replay` as a user calls them, on a log book with a trace from a simulated controller.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { OrderKind, TestKind } from '../../../firmware/contract/codes';
import { openLogbook } from '../../../host/logbook/engines/open';
import { Estate, HOURS, WINDOW, WINDOW_MS } from '../../simulator/estate';
import { type Outcome, runCommand } from '../../support/command';

const ADDRESS = 'hollinsea-tides/top-a';
const folder = mkdtempSync(join(tmpdir(), 'nightproof-trace-'));
const db = join(folder, 'log.db');
const trace = join(folder, 'top-a.trace');

const nightproof = (...args: string[]): Outcome => runCommand(args);
const save = (out: string, circuit = 'top-a') =>
  nightproof('trace', 'save', '--circuit', circuit, '--db', db, '--out', out);

beforeAll(async () => {
  const estate = new Estate({ slots: [[1, TestKind.Brief, WINDOW.start, WINDOW.end]] });
  estate.run(WINDOW_MS - HOURS(0.5));
  estate.order(OrderKind.Trace, 24_000);
  estate.run(WINDOW_MS + HOURS(0.5));
  const logbook = await openLogbook(db);
  await logbook.appendBatch(
    estate.records.map((body) => {
      const { journal, seq, kind, utc } = JSON.parse(body);
      return { address: ADDRESS, journal, seq, kind, test: 0, at: utc, body };
    }),
  );
  await logbook.close();
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

it('saves the newest trace and replays it with the same result', () => {
  expect(save(trace)).toMatchObject({ code: 0, stderr: '' });
  const again = nightproof('replay', trace);
  expect(again).toMatchObject({ code: 0, stderr: '' });
  expect(again.stdout).toContain('The relay is driven open: the supply is cut.');
  expect(again.stdout).toContain('Record: Function test ended after 65 s: all 4 luminaires passed.');
  expect(again.stdout).toMatch(/Same: all \d+ records match what the controller wrote, byte for byte\.\n$/);
});

it('prints one JSON object', () => {
  const { stdout } = nightproof('replay', trace, '--json');
  expect(JSON.parse(stdout)).toMatchObject({ isWhole: true, same: expect.any(Number) });
});

it('shows the first difference in an edited trace, and fails', () => {
  const changed = join(folder, 'changed.trace');
  writeFileSync(changed, readFileSync(trace, 'utf8').replace(/:f{4} /, ':gfff '));
  const again = nightproof('replay', changed);
  expect(again.code).toBe(1);
  expect(again.stdout).toMatch(/The first difference, at .* UTC/);
});

it('explains in one sentence what is wrong', () => {
  const rubbish = join(folder, 'rubbish.trace');
  writeFileSync(rubbish, 'rubbish\n');
  const wrong = (outcome: Outcome, sentence: string) => {
    expect(outcome.code).toBe(1);
    expect(outcome.stderr).toBe(`${sentence}\n`);
  };
  wrong(save(trace), `${trace} already exists; give another file with --out.`);
  wrong(
    save(join(folder, 'none.trace'), 'top-b'),
    'The log book holds no trace of a test of hollinsea-tides/top-b; order one with "trace order" and wait for the next test.',
  );
  wrong(
    nightproof('replay', rubbish),
    `${rubbish}, line 1 is not a controller record; save the trace again.`,
  );
  wrong(
    nightproof('replay', join(folder, 'nix')),
    `There is no trace ${join(folder, 'nix')}; save one with "trace save".`,
  );
  wrong(
    nightproof('trace', 'order', '--circuit', 'top-a', '--who', 'R. Quill', '--page', 'http://127.0.0.1:9'),
    'No host answers at http://127.0.0.1:9; start it with "serve" or give the address of its page with --page.',
  );
});
