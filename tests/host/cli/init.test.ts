// A first site file, asked for at a terminal or said in options.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
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
  expect(await run('check', file)).toMatchObject({ code: 0, stderr: '' });
});

it('questions at a terminal are put again until their answer is right', () => {
  const file = join(folder, 'typed.yaml');
  const building = ['', 'Boathouse', 'Europe/Londn', 'Europe/London', '', 'A Boatman', 'mon-fri 8:00-17:00'];
  const said = typed(['--out', file], [...building, 'Slip A', '17', '12', '', '240']);
  expect(said).toContain('did you mean "Europe/London"?');
  expect(said).toContain('The number of luminaires must be a whole number from 1 to 16, but is "17".');
  expect(circuits(file)).toEqual([['Slip A', 12, 'SLIP-A-01']]);
  const text = readFileSync(file, 'utf8');
  expect(text).toContain('responsible: A Boatman\n');
  expect(text).toContain('days: [mon, tue, wed, thu, fri], from: "08:00", to: "17:00"');
});
