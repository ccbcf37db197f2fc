// What `commission` makes for one controller, board by board, and which board it refuses.
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import type { BoardConfig } from '../../firmware/board/config';
import { loadBoards } from '../../firmware/build/boards';
import { fits } from '../../firmware/build/fits';
import { loginOf } from '../../host/broker/logins';
import { openKeys } from '../../host/keys';
import { SMALL } from '../host/site/small';
import { DEMO_SITE, run } from './support/cli';

const patience = 120_000;
let folder: string;
/** Site file whose circuit `lower-a` has sixteen current modules, with numbers as long as they can be. */
let busSite: string;

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-commission-'));
  busSite = join(folder, 'bus.yaml');
  writeFileSync(busSite, SIXTEEN);
  openKeys(join(folder, 'x.db.secret'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const boards = await loadBoards();
const hasBus = (board: (typeof boards)[number]) => 'rows' in board.adc;

const SIXTEEN =
  SMALL.slice(0, SMALL.indexOf('      - {'))
    .replace('id: one', 'id: lower-a')
    .replace('    luminaires:', '    milliampsPerCount: 0.012345678\n    luminaires:') +
  Array.from(
    { length: 16 },
    (_, i) =>
      `      - { id: B-${i}, place: Row, area: ${i % 2 ? 'hall' : 'loft'}, mode: non-maintained, batteryMilliamps: 90, ` +
      `module: ${200 + i}, register: ${65535 - i} }\n`,
  ).join('');

it.each(boards.map((board) => [board.name, board] as const))(
  'writes program and wiring of %s if the program fits, otherwise says which number falls short',
  async (name, board) => {
    const out = join(folder, name);
    const args = ['--broker-address', '192.0.2.10', '--ssid', 'cellar', '--db', join(folder, 'x.db')];
    const outcome = await run(
      'commission',
      'lower-a',
      hasBus(board) ? busSite : DEMO_SITE,
      '--board',
      name,
      ...args,
      '--out',
      out,
    );
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
    const keys = openKeys(join(folder, 'x.db.secret'));
    const { password } = loginOf(keys, config.address.replace('/', '.'));
    expect(config).toMatchObject({ pins: board.pins, net: { kind: board.network }, link: { password } });
    const rows = Array.from({ length: 16 }, (_, i) => [200 + i, 65535 - i, 0.01234568]).flat();
    expect(config.adc).toEqual(hasBus(board) ? { ...board.adc, rows } : board.adc);
    expect(outcome.stdout.includes('Set in every current module: 19,200 bit/s')).toBe(hasBus(board));
    expect(script.length).toBeLessThan(1536);
  },
  patience,
);

it('refuses a board of which circuit or board alone has a bus, in one sentence, and writes nothing', async () => {
  const out = join(folder, 'refused');
  const common = [
    '--broker-address',
    '192.0.2.10',
    '--ssid',
    'cellar',
    '--db',
    join(folder, 'x.db'),
    '--out',
    out,
  ];
  const analogue = await run('commission', 'lower-a', busSite, '--board', 'esp32', ...common);
  expect(analogue).toMatchObject({ code: 1, stdout: '' });
  expect(analogue.stderr).toMatch(
    /^Circuit "lower-a" has current modules on a bus .*, but board "esp32" has no bus; choose one of: esp32bus\.\n$/,
  );
  const bus = await run('commission', 'lower-a', DEMO_SITE, '--board', 'esp32bus', ...common);
  expect(bus).toMatchObject({ code: 1, stdout: '' });
  expect(bus.stderr).toMatch(
    /^Board "esp32bus" reads current modules on a bus, but [^\n]* no module [^\n]*\.\n$/,
  );
  expect(existsSync(out)).toBe(false);
});

it('refuses a log book that is not there, so that no key is made which no host knows', async () => {
  const db = join(folder, 'mistyped.db');
  const place = ['--broker-address', '192.0.2.10', '--ssid', 'cellar', '--out', join(folder, 'none')];
  expect(await run('commission', 'lower-a', ...place, '--db', db)).toMatchObject({
    code: 1,
    stdout: '',
    stderr:
      `There is no log book ${db} and no site secret; give its file with --db, or start \`nightproof serve\` once with ` +
      'that file, which makes both.\n',
  });
  expect(existsSync(`${db}.secret`)).toBe(false);
  expect(existsSync(join(folder, 'none'))).toBe(false);
});

it.each(['127.0.0.1', 'localhost', '::1', '0.0.0.0'])(
  'refuses %s for the broker, where no controller would find it',
  async (address) => {
    const place = ['--ssid', 'cellar', '--db', join(folder, 'x.db'), '--out', join(folder, 'own')];
    const refused = await run('commission', 'lower-a', '--broker-address', address, ...place);
    expect(refused).toMatchObject({ code: 1, stdout: '' });
    expect(refused.stderr).toMatch(
      new RegExp(`^--broker-address ${address} is [^\\n]*; write [^\\n]*--broker-host\\.\\n$`),
    );
    expect(existsSync(join(folder, 'own'))).toBe(false);
  },
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
