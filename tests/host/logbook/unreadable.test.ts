// A log book on a disk that fails while it is read, after its host was killed.
import { execFileSync, spawnSync } from 'node:child_process';
import { copyFileSync, existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { openLogbook } from '../../../host/logbook/engines/open';
import { onDisk } from '../../../host/rehearse/disk/faultyDisk';

const ROOT = fileURLToPath(new URL('../../../', import.meta.url));
const ENTRIES = 60;
const folder = mkdtempSync(join(tmpdir(), 'nightproof-unreadable-'));
const file = join(folder, 'log.db');
const script = join(ROOT, 'build', `unreadable-${process.pid}.mjs`);

/** Opens the log book and says how many entries it has, or fills it and is killed. */
const SOURCE = `
import { openLogbook } from './host/logbook/engines/open';
const [file, entries] = process.argv.slice(2);
try {
  const logbook = await openLogbook(file);
  for (let n = 0; n < Number(entries ?? 0); n++)
    await logbook.orders.take({ address: 'demo/a', at: 1780000000, do: 2, arg: n, who: 'Anna' });
  if (entries) process.kill(process.pid, 'SIGKILL');
  console.log(await logbook.entries());
  await logbook.close();
} catch (error) {
  console.log(error.message);
}`;

beforeAll(async () => {
  await build({
    stdin: { contents: SOURCE, resolveDir: ROOT, loader: 'ts' },
    ...{ outfile: script, bundle: true, platform: 'node', format: 'esm', packages: 'external' },
  });
  spawnSync(process.execPath, [script, file, `${ENTRIES}`]);
  for (const end of ['', '-wal']) copyFileSync(file + end, join(folder, `kept.db${end}`));
});
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
  rmSync(script, { force: true });
});

// SQLite takes the entries that a killed host has left in the write-ahead file from there when it opens the log book.
it.each([0, 1, 2, 5])('keeps every entry when reads fail after %i that went well', async (after) => {
  for (const end of ['', '-wal', '-shm']) rmSync(file + end, { force: true });
  for (const end of ['', '-wal']) copyFileSync(join(folder, `kept.db${end}`), file + end);
  const env = onDisk({ fault: 'unreadable', after, calls: 1, undo: join(folder, 'undo') });
  const said = execFileSync(process.execPath, [script, file], { env, encoding: 'utf8' });
  expect(said.trim()).toMatch(new RegExp(`^${ENTRIES}$|The disk of the log book .* has failed|is damaged`));
  const logbook = await openLogbook(file);
  expect(await logbook.entries()).toBe(ENTRIES);
  await logbook.close();
  expect(existsSync(file)).toBe(true);
});
