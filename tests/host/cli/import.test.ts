// From a table of luminaires to a plan, as an electrician goes: `import`, `check`, `plan`, and back by `export`.
import {
  existsSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  realpathSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import * as xlsx from '@e965/xlsx';
import { afterAll, expect, it } from 'vitest';
import { loadSite } from '../../../host/site/load';
import { run } from '../../system/support/cli';

const folder = mkdtempSync(join(tmpdir(), 'nightproof-import-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const [table, site, back] = ['boathouse.csv', 'boathouse.yaml', 'back.csv'].map((name) => join(folder, name));

/** An invented boathouse: 31 luminaires in three circuits that take turns in four rooms. */
const ROWS = Array.from({ length: 31 }, (_, i) => {
  const circuit = ['Slip A', 'Slip B', 'Loft'][i % 3];
  const [floor, room] = circuit === 'Loft' ? ['First', 'Sail loft'] : ['Ground', ['Slip', 'Workshop'][i % 2]];
  return i % 4 === 0
    ? `B-${i + 1};Place ${i + 1};${circuit};${floor};${room};maintained;60;95;120`
    : `B-${i + 1};Place ${i + 1};${circuit};${floor};${room};non-maintained;60;240;`;
});
const TABLE = ['id;place;circuit;floor;area;mode;minutes;battery mA;mains mA', ...ROWS].join('\r\n');

const luminaires = (file: string) => {
  const loaded = loadSite(file);
  return 'site' in loaded && loaded.site.circuits.map((circuit) => [circuit.id, circuit.luminaires]);
};

it('a table becomes a site file that can be checked and planned, and a table again', async () => {
  writeFileSync(table, TABLE);
  const trial = await run('import', table, '--dry-run');
  expect(trial).toMatchObject({ code: 0, stderr: '' });
  expect(trial.stdout).toMatch(/\nNothing was written, as --dry-run asks\.\n$/);
  expect(existsSync(site)).toBe(false);

  const made = await run('import', table, '--out', site, '--time-zone', 'Europe/London');
  expect(made).toMatchObject({ code: 0, stderr: '' });
  expect(made.stdout).toContain('boathouse: 3 circuits, 31 luminaires.\n');
  expect(made.stdout).toContain('  - people are there mon-sun 07:00-22:00; --opening changes it\n');
  expect(made.stdout).toMatch(/Next: `nightproof check .*boathouse\.yaml`\.\n$/);

  expect(await run('check', site)).toMatchObject({ code: 0, stderr: '' });
  const plan = await run('plan', site, '--json', '--from', '2027-01-01');
  const { tests, conflicts } = JSON.parse(plan.stdout);
  expect(plan.code).toBe(0);
  expect(new Set(tests.map((test: { circuit: string }) => test.circuit))).toEqual(
    new Set(['slip-a', 'slip-b', 'loft']),
  );
  expect(conflicts.map((conflict: { about: string }) => conflict.about)).not.toContain('late');

  const exported = await run('export', site, '--out', back);
  expect(exported).toMatchObject({ code: 0, stderr: '' });
  expect(exported.stdout).toContain('so a new file would be without them: adjacent (2 areas).\n');
  const again = join(folder, 'again.yaml');
  expect((await run('import', back, '--out', again)).code).toBe(0);
  expect(luminaires(again)).toEqual(luminaires(site));
});

it('a spreadsheet of the same luminaires becomes the same site file, byte for byte, and comes back as one', async () => {
  const cells = TABLE.split('\r\n').map((line) =>
    line.split(';').map((cell) => (/^\d+$/.test(cell) ? Number(cell) : cell === '' ? null : cell)),
  );
  const book = xlsx.utils.book_new();
  xlsx.utils.book_append_sheet(
    book,
    xlsx.utils.aoa_to_sheet([['Emergency luminaires'], [], ...cells]),
    'Lights',
  );
  const sheet = join(folder, 'boathouse.xlsx');
  writeFileSync(sheet, xlsx.write(book, { type: 'buffer', bookType: 'xlsx' }));
  writeFileSync(table, TABLE);
  const made = ['of-text.yaml', 'of-sheet.yaml', 'of-export.yaml'].map((name) => join(folder, name));
  const options = ['--name', 'Boathouse', '--time-zone', 'Europe/London'];
  const trial = await run('import', sheet, '--out', made[1], ...options, '--dry-run');
  expect(trial).toMatchObject({ code: 0, stderr: '' });
  expect(existsSync(made[1])).toBe(false);
  const [text, same] = [
    await run('import', table, '--out', made[0], ...options),
    await run('import', sheet, '--out', made[1], ...options, '--sheet', 'Lights'),
  ];
  expect(same).toEqual({ ...text, stdout: text.stdout.replaceAll(made[0], made[1]) });
  const plain = readFileSync(made[0], 'utf8');
  expect(plain).toContain('Made from boathouse.csv');
  expect(readFileSync(made[1], 'utf8')).toBe(plain.replace('boathouse.csv', 'boathouse.xlsx'));

  const again = join(folder, 'back.xlsx');
  expect(await run('export', made[1], '--out', again)).toMatchObject({ code: 0, stderr: '' });
  expect((await run('import', again, '--out', made[2], ...options)).code).toBe(0);
  expect(luminaires(made[2])).toEqual(luminaires(made[0]));
});

it('refuses a profile that needs a compliance schedule before it reads the table', async () => {
  const refused = await run('import', table, '--out', join(folder, 'nz.yaml'), '--profile', 'new-zealand');
  expect(refused).toMatchObject({ code: 1, stdout: '' });
  expect(refused.stderr).toMatch(
    /^The rule profile "new-zealand" follows the building's compliance schedule/,
  );
  expect(refused.stderr.split('\n')).toHaveLength(2);
});

it('replaces a file only when asked and keeps the old one, and writes none where a row is wrong', async () => {
  writeFileSync(table, TABLE);
  writeFileSync(site, 'precious');
  const second = `${realpathSync(site)}.before-2`;
  const refused = await run('import', table, '--out', site);
  expect(refused).toMatchObject({
    code: 1,
    stdout: '',
    stderr: `--out ${site}: this file already exists; name a new one, or add --replace: the old one is kept as ${site}.before.\n`,
  });
  expect(readFileSync(site, 'utf8')).toBe('precious');
  expect((await run('import', table, '--out', table, '--replace')).stderr).toBe(
    `--out ${table}: this is no site file; name the site file to write.\n`,
  );
  const replaced = await run('import', table, '--out', site, '--replace');
  expect(replaced).toMatchObject({ code: 0, stderr: '' });
  expect(replaced.stdout).toContain(`The file before is kept as ${site}.before.\n`);
  expect(readFileSync(`${site}.before`, 'utf8')).toBe('precious');
  expect(loadSite(site)).toHaveProperty('site');
  // A second go keeps what the first one kept, through a link beside the file it leads to, and a file of that name.
  const link = join(folder, 'link.yaml');
  symlinkSync(site, link);
  writeFileSync(`${site}.new`, 'of somebody else');
  expect((await run('import', table, '--out', link)).stderr).toContain(`kept as ${second}.\n`);
  expect((await run('import', table, '--out', link, '--replace')).stdout).toContain(`kept as ${second}.\n`);
  expect(readFileSync(`${site}.before`, 'utf8')).toBe('precious');
  expect(readFileSync(second, 'utf8')).toBe(readFileSync(site, 'utf8'));
  expect(readFileSync(`${site}.new`, 'utf8')).toBe('of somebody else');
  expect(readdirSync(folder).filter((name) => name.endsWith('.new'))).toEqual(['boathouse.yaml.new']);
  writeFileSync(table, TABLE.replace(';240;', ';0,24;').replace('B-31', 'B 31'));
  const fresh = join(folder, 'fresh.yaml');
  expect(await run('import', table, '--out', fresh)).toMatchObject({
    code: 1,
    stdout: '',
    stderr: [
      `${table}:3: battery mA: must be the commissioned lamp current on battery in mA, a whole number from 1 to 2000, but is "0,24"; write 240 for 0.24 A.`,
      `${table}:32: id: must be 1 to 24 letters, digits or hyphens, e.g. "GA-04", but is "B 31"; write B-31.`,
      'Nothing was written.',
      '',
    ].join('\n'),
  });
  expect(existsSync(fresh)).toBe(false);
});

it('tells a mistake of a whole column once, and asks for what it cannot know', async () => {
  const dated = TABLE.split('\r\n').map((line, i) => `${line};${i === 0 ? 'Fitted' : '12/03/2024'};x`);
  writeFileSync(
    table,
    [dated[0].replace(';x', ';Battery make'), ...dated.slice(1)].join('\n').replace(';240;', ';0,24;'),
  );
  const asked = await run('import', table, '--dry-run');
  expect(asked).toMatchObject({ code: 1, stdout: '' });
  expect(asked.stderr).toBe(
    `${table}:1: Battery make: may be "chemistry"; write --column "Battery make=chemistry" to take it as that, or --ignore-column "Battery make".\nNothing was written.\n`,
  );
  const ignoring = ['import', table, '--dry-run', '--ignore-column', 'Battery make'];
  expect((await run(...ignoring)).stderr.split('\n')).toEqual([
    expect.stringMatching(
      /:2: Fitted: 31 dates such as 12\/03\/2024 can be 12 March or 3 December, .* --dates day-first or/,
    ),
    expect.stringMatching(/:3: battery mA: .*but is "0,24"; write 240 for 0\.24 A\.$/),
    'Nothing was written.',
    '',
  ]);
  expect((await run('import', table)).stderr).toMatch(/^--out is missing; name the site file to write/);
});
