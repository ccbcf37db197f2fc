// What `commission` makes for one controller, board by board, and which board it refuses.
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import type { BoardConfig } from '../../firmware/board/config';
import { loadBoards } from '../../firmware/build/boards';
import { fits } from '../../firmware/build/fits';
import { run } from './support/cli';

const patience = 120_000;
let folder: string;

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-commission-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const boards = await loadBoards();

it.each(boards.map((board) => [board.name, board] as const))(
  'writes program and wiring of %s if the program fits, otherwise says which number falls short',
  async (name, board) => {
    const out = join(folder, name);
    const args = ['--broker-address', '192.0.2.10', '--ssid', 'cellar', '--db', join(folder, 'x.db')];
    const outcome = await run('commission', 'lower-a', '--board', name, ...args, '--out', out);
    if (outcome.code !== 0) {
      const { shortfalls } = fits(board, 45_000);
      expect(shortfalls.length).toBeGreaterThan(0);
      expect(outcome).toMatchObject({ code: 1, stdout: '' });
      expect(outcome.stderr).toMatch(new RegExp(`^Board "${name}" has [\\d,]+ .* too few\\.\\n$`));
      expect(existsSync(out)).toBe(false);
      return;
    }
    expect(outcome.stdout).toContain('bytes of firmware, and a configuration with its secret key.');
    const program = readFileSync(join(out, 'nightproof.min.js'), 'latin1');
    expect(fits(board, program.length).shortfalls).toEqual([]);
    const script = readFileSync(join(out, 'lower-a.cfg.js'), 'utf8');
    const config = JSON.parse(JSON.parse(/write\("np\.cfg", (.*)\);/.exec(script)![1])) as BoardConfig;
    expect(config).toMatchObject({ pins: board.pins, adc: board.adc, net: { kind: board.network } });
    expect(script.length).toBeLessThan(1536);
  },
  patience,
);

it('refuses an unknown board and lists the known ones', async () => {
  const outcome = await run('commission', 'lower-a', '--board', 'none', '--broker-address', '192.0.2.10');
  expect(outcome.code).toBe(1);
  expect(outcome.stderr).toContain(`Allowed choices are ${boards.map((board) => board.name).join(', ')}.`);
});

it('is preceded by a table of need and budget, in which a board that does not fit says which number falls short', async () => {
  const { code, stdout } = await run('boards');
  expect(code).toBe(0);
  for (const board of boards) {
    expect(stdout).toContain(board.title);
    const row = new RegExp(`^${board.name} +(\\d+) of (\\d+) +(\\d+) of (\\d+) +(\\d+) +(yes|no)$`, 'm').exec(
      stdout,
    );
    const [need, budget, cells, available, bytes] = row!.slice(1).map(Number);
    const fit = fits(board, bytes);
    expect([need, budget]).toEqual([fit.storageBytes, board.flash.storageBytes]);
    expect([cells, available]).toEqual([fit.variables, board.variables.count]);
    expect(row![6]).toBe(fit.shortfalls.length === 0 ? 'yes' : 'no');
    for (const sentence of fit.shortfalls) expect(stdout).toContain(sentence);
  }
});
