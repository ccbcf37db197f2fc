// A packed release, installed with only its production dependencies: everything a building needs runs.
import { execFileSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, symlinkSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { openKeys } from '../../host/keys';
import { freePort } from '../support/brokers';
import { Command, type Outcome } from './support/cli';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));
const jsonOf = (file: string) => JSON.parse(readFileSync(join(ROOT, file), 'utf8'));

let folder: string;
let release: string;

/** Links what `npm install --omit=dev` would install: nothing is fetched. */
function linkDependencies(): void {
  const locked: { [path: string]: { dev?: boolean } } = jsonOf('package-lock.json').packages;
  const installed = jsonOf('node_modules/.package-lock.json').packages;
  const isTop = (path: string) => path !== '' && path.lastIndexOf('node_modules/') === 0;
  for (const path of Object.keys(locked)) {
    if (!isTop(path) || locked[path].dev || !installed[path]) continue;
    mkdirSync(join(release, dirname(path)), { recursive: true });
    symlinkSync(join(ROOT, path), join(release, path));
  }
}

beforeAll(() => {
  execFileSync(process.execPath, ['.ci/build.mjs', '--firmware'], { cwd: ROOT });
  folder = mkdtempSync(join(tmpdir(), 'nightproof-release-'));
  const args = ['pack', '--silent', '--ignore-scripts', '--pack-destination', folder];
  const name = execFileSync('npm', args, { cwd: ROOT, encoding: 'utf8' }).trim();
  execFileSync('tar', ['-xzf', join(folder, name), '-C', folder]);
  release = join(folder, 'package');
  linkDependencies();
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function start(...args: string[]): Command {
  return new Command(args, { TMPDIR: folder }, release);
}

async function succeed(...args: string[]): Promise<Outcome> {
  const outcome = await start(...args).ended;
  expect(outcome).toMatchObject({ code: 0, stderr: '' });
  return outcome;
}

it('holds what runs and its documents: no version control, tests or sources', () => {
  const own = readdirSync(release, { recursive: true, encoding: 'utf8' }).filter(
    (path) => !path.startsWith('node_modules'),
  );
  const folders = new Set(own.map((path) => path.split('/')[0]));
  expect([...folders].sort()).toEqual(['LICENSE', 'README.md', 'build', 'docs', 'package.json']);
  expect(own.filter((path) => /(^|\/)\.|\.tsx?$|\.(secret|db|accounts)/.test(path))).toEqual([]);
});

it('plans a year and simulates days', async () => {
  expect((await succeed('plan', '--json')).stdout).toContain('"lower-a"');
  const { stdout } = await succeed('simulate', '--days', '3', '--json');
  expect(JSON.parse(stdout)).toMatchObject({ violations: 0 });
});

it("commissions a controller with its board's program, and names the upload tool that was tested", async () => {
  const out = join(folder, 'commissioning');
  const place = ['--broker-address', '192.0.2.10', '--ssid', 'net', '--db', join(folder, 'a.db')];
  openKeys(join(folder, 'a.db.secret'));
  const { stdout } = await succeed('commission', 'lower-a', ...place, '--out', out);
  expect(stdout).toContain(`npx espruino@${jsonOf('package.json').devDependencies.espruino} -p PORT`);
  const program = (file: string) => readFileSync(file, 'latin1');
  expect(program(join(out, 'nightproof.min.js'))).toBe(
    program(join(ROOT, 'build/firmware/esp32/nightproof.min.js')),
  );
});

async function pageOf(url: string): Promise<string> {
  const [html, script] = await Promise.all(
    [url, `${url}/app.js`].map(async (one) => (await fetch(one)).text()),
  );
  return html + script;
}

it('serves a page for real controllers and for the demonstration', async () => {
  const ports = ['--port', String(await freePort()), '--broker-port', String(await freePort())];
  const host = start('serve', 'docs/examples/museum-of-tides.yaml', '--db', join(folder, 'b.db'), ...ports);
  const [url] = await host.saying(/http:[^\s,]+/);
  expect(await pageOf(url)).toContain('/api/events');
  await host.end('SIGINT');
  const demo = start('demo', '--port', String(await freePort()));
  const [, page] = await demo.saying(/Page: +(http:\S+)/);
  expect(await pageOf(page)).toContain('/api/events');
  await demo.end('SIGINT');
});

it('says in one sentence that broken cores need a clone', async () => {
  expect(await start('explore').ended).toMatchObject({
    code: 1,
    stdout: '',
    stderr: expect.stringMatching(/^Broken cores are compiled from the sources: .+\n$/),
  });
});
