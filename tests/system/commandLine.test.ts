// What a user of the command line meets: the log book's proof, the check of a site file, and every kind of
// mistake.
import { spawnSync } from 'node:child_process';
import {
  copyFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { type AddressInfo, createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import Database from 'libsql';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { freePort } from '../support/brokers';
import { Command, DEMO_SITE, type Outcome, run } from './support/cli';

let folder: string;
let db: string;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-cli-'));
  db = join(folder, 'months.db');
  expect(await run('simulate', '--days', '60', '--db', db)).toMatchObject({ code: 0, stderr: '' });
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** A copy of the log book, edited as someone with the file could do. */
function tampered(name: string, statements: string[]): string {
  const copy = join(folder, name);
  copyFileSync(db, copy);
  const file = new Database(copy);
  for (const statement of statements) file.exec(statement);
  file.close();
  return copy;
}

function firstFailure(): number {
  const file = new Database(db, { readonly: true });
  const row = file.prepare(`SELECT entry FROM entries WHERE body LIKE '%"lamps":%[2,4,%' LIMIT 1`).get();
  file.close();
  return (row as { entry: number }).entry;
}

describe('logbook verify', () => {
  it('finds a log book intact as written', async () => {
    const outcome = await run('logbook', 'verify', '--db', db);
    expect(outcome).toMatchObject({ code: 0, stderr: '' });
    expect(outcome.stdout).toMatch(/is intact: \d+ entries/);
    const { root, size } = JSON.parse((await run('logbook', 'verify', '--json', '--db', db)).stdout);
    const noted = await run('logbook', 'verify', '--db', db, '--noted', `${size}:${root}`, '--noted', root);
    expect(noted).toMatchObject({ code: 0, stdout: expect.stringContaining('It contains what was noted.') });
    const other = await run('logbook', 'verify', '--db', db, '--noted', `${size - 1}:${root}`);
    expect(other).toMatchObject({
      code: 1,
      stderr: expect.stringContaining('witness: Something between entries 1 and'),
    });
  });

  it('says that nothing is signed for without the secret, and does not call it checked', async () => {
    const outcome = await run('logbook', 'verify', '--db', tampered('nosecret.db', []));
    expect(outcome).toMatchObject({ code: 2, stderr: '' });
    expect(outcome.stdout).toMatch(/^Not checked: The signatures .*nosecret\.db\.secret is missing\.$/m);
  });

  it('names the entry in which one byte was changed: a failure made a pass', async () => {
    const entry = firstFailure();
    const copy = tampered('forged.db', [
      'DROP TRIGGER entries_fixed',
      `UPDATE entries SET body = replace(body, '[2,4,', '[1,4,') WHERE entry = ${entry}`,
    ]);
    const outcome = await run(
      'logbook',
      'verify',
      '--db',
      copy,
      '--site',
      DEMO_SITE,
      '--secret',
      `${db}.secret`,
    );
    expect(outcome).toMatchObject({ code: 1, stdout: '' });
    expect(outcome.stderr).toMatch(
      new RegExp(`chain: Entry ${entry}, .* is not the text originally written\\.`),
    );
    // What the entry is about: circuit, test, night and luminaires.
    expect(outcome.stderr).toMatch(
      /\(circuit [a-z-]+, .*: (function|duration) test of \w+ \d+ \w+ \d{4}, \d\d:\d\d; /,
    );
    const told = await run('logbook', 'verify', '--json', '--db', copy);
    expect(told.code).toBe(1);
    expect(JSON.parse(told.stdout)).toMatchObject({ valid: false, broken: { entry } });
  });

  it('notices a removed entry', async () => {
    const copy = tampered('cut.db', ['DROP TRIGGER entries_stay', 'DELETE FROM entries WHERE entry = 20']);
    const outcome = await run('logbook', 'verify', '--db', copy);
    expect(outcome).toMatchObject({ code: 1, stdout: '' });
    expect(outcome.stderr).toMatch(/\b[Ee]ntry (20|21)\b/);
  });
});

describe('check', () => {
  it('finds no mistake in the demonstration site', async () => {
    const outcome = await run('check');
    expect(outcome).toMatchObject({ code: 0, stderr: '' });
    expect(outcome.stdout).toMatch(/13 circuits, 104 luminaires: no mistakes/);
    expect(outcome.stdout).toMatch(
      /\nThe plan for a year from .* has \d+ conflicts?\.\n[\s\S]*\nWhat the wiring does not allow/,
    );
  });

  it('does not plan a very large site, and says so', async () => {
    const site = readFileSync(DEMO_SITE, 'utf8');
    const [circuit] = /^ {2}- id: ground-c$[\s\S]*?(?=^ {2}- id: )/m.exec(site)!;
    const copies = Array.from({ length: 1000 }, (_, i) =>
      circuit.replace('id: ground-c', `id: copy-${i}`).replace(/id: GC-/g, `id: C${i}-`),
    );
    const file = join(folder, 'large.yaml');
    const picture = 'museum-ground.svg';
    copyFileSync(join(dirname(DEMO_SITE), picture), join(folder, picture));
    writeFileSync(file, site.replace(circuit, `${circuit}${copies.join('')}`));
    const outcome = await run('check', file);
    expect(outcome).toMatchObject({ code: 0, stderr: '' });
    expect(outcome.stdout).toMatch(/1013 circuits, \d+ luminaires: no mistakes\n/);
    expect(outcome.stdout).toContain(
      'No plan was made, because that takes long for 1013 circuits; `plan` makes one',
    );
  });

  it('names file, line and field of a mistake, and what to write', async () => {
    const lines = readFileSync(DEMO_SITE, 'utf8').split('\n');
    const line = lines.findIndex((text) => text.includes('id: LA-03'));
    lines[line] = lines[line].replace('mode: maintained', 'mode: permanent');
    const file = join(folder, 'broken.yaml');
    writeFileSync(file, lines.join('\n'));
    const outcome = await run('check', file);
    expect(outcome).toMatchObject({ code: 1, stdout: '' });
    expect(outcome.stderr.trimEnd().split('\n')).toEqual([
      `${file}:${line + 1}: circuits[lower-a].luminaires[LA-03].mode: must be one of: non-maintained, ` +
        'maintained, switched maintained, combined, but is "permanent".',
    ]);
  });
});

it('says so where there is no room for its output', () => {
  const command = `"${process.execPath}" build/host/main.js profiles > /dev/full`;
  expect(spawnSync('sh', ['-c', command], { encoding: 'utf8' })).toMatchObject({
    status: 1,
    stderr: 'The output could not be written (ENOSPC); free some room and try again.\n',
  });
});

it('takes a pipe that nobody reads from for no mistake', () => {
  const command = `"${process.execPath}" build/host/main.js profiles | true`;
  expect(spawnSync('sh', ['-c', command], { encoding: 'utf8' })).toMatchObject({ stdout: '', stderr: '' });
});

it('says that a port is taken before it makes anything', async () => {
  const other = createServer();
  await new Promise<void>((resolve) => other.listen(0, '127.0.0.1', resolve));
  const { port } = other.address() as AddressInfo;
  const late = join(folder, 'late.db');
  const page = await run('serve', '--port', `${port}`, '--db', late);
  const demo = await run('demo', '--port', `${port}`);
  const broker = await run(
    'serve',
    '--port',
    `${await freePort()}`,
    '--broker-port',
    `${port}`,
    '--db',
    late,
  );
  const demoBroker = await run('demo', '--port', `${await freePort()}`, '--broker-port', `${port}`);
  other.close();
  const taken = `The page cannot be served on 127.0.0.1 port ${port}: another program is using it, perhaps Nightproof in another window: stop it there with Ctrl-C, or choose another port with --port.\n`;
  expect(page).toMatchObject({ code: 1, stdout: '', stderr: taken });
  expect(demo).toMatchObject({ code: 1, stdout: '', stderr: taken });
  expect(broker).toMatchObject({
    code: 1,
    stdout: '',
    stderr:
      `The MQTT broker cannot listen on 127.0.0.1 port ${port}: another program is using it; choose another with ` +
      '--broker-port, or give that broker with --broker.\n',
  });
  expect(demoBroker.stderr).toMatch(/another program is using it; choose another with --broker-port\.\n$/);
  expect(existsSync(late)).toBe(false);
});

/** Fails with the expected sentence and at most two hints; nothing of it on stdout. */
function expectPlainRefusal(outcome: Outcome, sentence: RegExp): void {
  expect(outcome.code).toBe(1);
  expect(outcome.stdout).toBe('');
  expect(outcome.stderr).toMatch(sentence);
  expect(outcome.stderr).not.toMatch(/^ {4}at |node_modules|Error:/m);
  expect(outcome.stderr.trimEnd().split('\n').length).toBeLessThanOrEqual(3);
}

describe.concurrent("a user's mistake", () => {
  beforeAll(() => {
    writeFileSync(join(folder, 'text.db'), 'This is no database, but it is long enough to be read.');
    writeFileSync(join(folder, 'open.yaml'), 'id: [museum\nname: x');
    mkdirSync(join(folder, 'directory'));
  });

  it.each([
    ['an unknown command', ['simulat'], /unknown command 'simulat'/],
    ['days left out', ['simulate'], /^Give the length with either --days or --years\.$/m],
    ['days and years', ['simulate', '--days', '9', '--years', '1'], /^Give the length with either/m],
    [
      'an estate without size',
      ['simulate', '--years', '1', '--estate', '20'],
      /--estate must be CONTROLLERSxLUMINAIRES/,
    ],
    [
      'an estate with too many luminaires',
      ['simulate', '--years', '1', '--estate', '20x17'],
      /--estate must be CONTROLLERSxLUMINAIRES, at most 5000x16/,
    ],
    [
      'an estate and a site',
      ['simulate', '@open.yaml', '--years', '1', '--estate', '2x2'],
      /^Give either a site file or --estate, not both\.$/m,
    ],
    ['a pace without broker', ['simulate', '--days', '1', '--pace', '9'], /^--pace needs --broker/m],
    [
      'years on a broker',
      ['simulate', '--years', '1', '--broker', 'mqtt://127.0.0.1:1'],
      /^--years runs without log book and broker/m,
    ],
    [
      'a broker that is not there',
      ['simulate', '--days', '1', '--broker', 'mqtt://127.0.0.1:1'],
      /^No broker answers at 127\.0\.0\.1:1; start it or give another address\.$/m,
    ],
    [
      'a broker with encryption',
      ['simulate', '--days', '1', '--broker', 'mqtts://127.0.0.1:1'],
      /^Simulated controllers use plain MQTT/m,
    ],
    ['no threads', ['simulate', '--years', '1', '--workers', '0'], /--workers must be a whole number from 1/],
    ['no days', ['simulate', '--days', '0'], /--days must be a whole number from 1 to 36500/],
    [
      'a site that is not there',
      ['simulate', '@none.yaml', '--days', '1', '--json'],
      /there is no such file/,
    ],
    ['a site that is no YAML', ['check', '@open.yaml'], /open\.yaml:\d+: this is not valid YAML/],
    ['a log book that is not there', ['logbook', 'verify', '--db', '@none.db'], /There is no log book/],
    ['a log book that is text', ['logbook', 'verify', '--db', '@text.db'], /is not a log book/],
    ['a log book that is a folder', ['logbook', 'verify', '--db', '@directory'], /cannot be opened/],
    ['simulating into a log book', ['simulate', '--days', '1', '--db', '@months.db'], /already exists/],
    [
      'a repair in a log book that is not there',
      ['repaired', '--luminaire', 'LA-01', '--part', 'lamp', '--who', 'A Tester', '--db', '@none.db'],
      /^There is no log book \S+none\.db; give its file with --db\.$/m,
    ],
    [
      'a table that is not there',
      ['import', '@none.csv', '--out', '@none.yaml'],
      /none\.csv: there is no such file; write the path of a table of luminaires, \.xlsx or CSV text\.$/m,
    ],
    [
      'an opening in other words',
      ['import', '@none.csv', '--out', '@none.yaml', '--opening', 'daytime'],
      /^--opening must be days and hours such as .*, but is "daytime"\.$/m,
    ],
    [
      'a first site without a terminal',
      ['init', '--out', '@none.yaml', '--name', 'Mill'],
      /^Without a terminal nothing is asked; give --circuit and --battery-ma\.$/m,
    ],
    ['a port beyond the last', ['serve', '--port', '65536'], /--port must be a whole number from 1 to 65535/],
    ['a broker without URL', ['serve', '--broker', 'here'], /--broker must be a URL such as mqtt:/],
    [
      'a broker of another kind',
      ['serve', '--broker', 'http://here'],
      /--broker must be a URL such as mqtt:/,
    ],
  ])('%s gets one sentence', async (_slip, words, sentence) => {
    const args = words.map((word) => (word.startsWith('@') ? join(folder, word.slice(1)) : word));
    expectPlainRefusal(await run(...args), sentence);
  });
});

it('an interrupted run says how far it came and what is kept, and its log book is whole', async () => {
  const kept = join(folder, 'interrupted.db');
  const command = new Command(['simulate', '--days', '36500', '--db', kept]);
  await expect.poll(() => existsSync(`${kept}-wal`)).toBe(true);
  const { code, stderr } = await command.end('SIGINT');
  expect(code).toBe(130);
  expect(stderr).toMatch(
    /Stopped after \d+ of 36500 days\. The log book .*interrupted\.db has what was recorded/,
  );
  expect(await run('logbook', 'verify', '--db', kept)).toMatchObject({ code: 0, stderr: '' });
});
