// A first site file, asked for at a terminal or said in options.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { type InitOptions, makeFirst } from '../../../host/cli/init';
import { loadSite } from '../../../host/site/load';
import { run } from '../../system/support/cli';

const folder = mkdtempSync(join(tmpdir(), 'nightproof-init-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** The command at a real terminal, into which these lines are typed. */
function typed(args: string[], lines: string[]): string {
  const command = [process.execPath, 'build/host/main.js', 'init', ...args]
    .map((word) => `'${word}'`)
    .join(' ');
  const input = lines.map((line) => `${line}\n`).join('');
  return spawnSync('script', ['-qec', command, '/dev/null'], { input, encoding: 'utf8' }).stdout;
}

function circuits(file: string) {
  const loaded = loadSite(file);
  if ('mistakes' in loaded) throw new Error(loaded.mistakes.map(({ message }) => message).join('\n'));
  return loaded.site.circuits.map(({ name, luminaires }) => [name, luminaires.length, luminaires[0].id]);
}

it('options make a file that passes the check and says what are defaults', async () => {
  const file = join(folder, 'options.yaml');
  const outcome = await run(
    ...['init', '--out', file, '--name', 'Boathouse', '--battery-ma', '240', '--time-zone', 'Europe/London'],
    ...['--circuit', 'Slip A=12', 'Loft = 3'],
  );
  expect(outcome).toMatchObject({ code: 0, stderr: '' });
  expect(outcome.stdout).toContain('Boathouse: 2 circuits, 15 luminaires.\n');
  expect(outcome.stdout).toContain(`Next: \`nightproof check ${file}\`.`);
  expect(circuits(file)).toEqual([
    ['Slip A', 12, 'SLIP-A-01'],
    ['Loft', 3, 'LOFT-01'],
  ]);
  expect(readFileSync(file, 'utf8')).toContain('responsible: not named yet # a default\n');
  const check = await run('check', file);
  expect(check).toMatchObject({ code: 0, stderr: '' });
  // Nobody has measured one value at fifteen luminaires.
  expect(check.stdout).toContain('The currents of 15 luminaires are expected ones: not proven');
});

it('questions at a terminal are put again until their answer is right', () => {
  const file = join(folder, 'typed.yaml');
  const building = ['', 'Boathouse', 'Europe/Londn', 'Europe/London', '', 'A Boatman', 'mon-fri 8:00-17:00'];
  const said = typed(
    ['--out', file],
    [...building, 'Slip A', '17', '12', 'maybe', 'yes', 'slip-a', '', '240'],
  );
  expect(said).toContain('did you mean "Europe/London"?');
  expect(said).toContain('The number of luminaires must be a whole number from 1 to 16, but is "17".');
  expect(circuits(file)).toEqual([['Slip A', 12, 'SLIP-A-01']]);
  expect(said).toContain('Write yes or no');
  expect(said).toContain('There is a circuit "Slip A" already; write another name.');
  const text = readFileSync(file, 'utf8');
  expect(text).toContain('    shared: true\n');
  expect(text).toContain('responsible: A Boatman\n');
  expect(text).toContain('days: [mon, tue, wed, thu, fri], from: "08:00", to: "17:00"');
});

it.each<[Partial<InitOptions>, string]>([
  [{ window: 'bogus' }, '--window must be days and hours'],
  [{ name: '' }, '--name must be 1 to 80 characters'],
  [{ profile: 'new-zealand' }, "follows the building's compliance schedule"],
  [{ circuit: ['A=1', 'a=2'] }, 'There is a circuit "A" already; write another name.'],
  [{ circuit: ['A=1'], shared: ['B'] }, '--shared names "B", which no --circuit does.'],
])('a wrong option is told before anything is asked: %j', async (options, sentence) => {
  const ask = () => Promise.reject(new Error('asked'));
  await expect(makeFirst({ out: join(folder, 'wrong.yaml'), ...options }, ask)).rejects.toThrow(sentence);
});

it('circuits with long, alike or foreign names have luminaires with ids of their own, and say what is shared', async () => {
  const file = join(folder, 'alike.yaml');
  const long = 'Emergency lighting floor';
  const circuit = [`${long} 1=2`, `${long} 2=2`, '東=1', '西=1'];
  const o = { out: file, name: '灯台', batteryMa: 90, circuit, shared: [`${long} 2`] };
  expect(await makeFirst(o)).toBe(0);
  const loaded = loadSite(file);
  if ('mistakes' in loaded) throw new Error(loaded.mistakes.map(({ message }) => message).join('\n'));
  const ids = loaded.site.circuits.flatMap((one) => one.luminaires.map((lamp) => lamp.id));
  expect(new Set(ids).size).toBe(6);
  expect(loaded.site.circuits.map(({ name, shared }) => [name, shared])).toEqual([
    [`${long} 1`, false],
    [`${long} 2`, true],
    ['東', false],
    ['西', false],
  ]);
  expect(readFileSync(file, 'utf8')).toContain('id x, made of the name; change it before commissioning');
});
