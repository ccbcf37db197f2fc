// The upload tool rewrites programs where it sees fit: it looks up modules on the network and re-encodes
// text. This proves, offline, that it would send our file exactly as it is on disk.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { BuildError } from './failure';

const TOOL = createRequire(import.meta.url).resolve('espruino/bin/espruino-cli.js');

/** @throws BuildError when the tool fails or would send anything but `code` (it adds a newline in front). */
export function checkUpload(file: string, code: string): void {
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-upload-'));
  try {
    const out = join(folder, 'upload.js');
    const args = [TOOL, '-q', '--no-ble', '--config', 'MODULE_URL=', '-o', out, file];
    const run = spawnSync(process.execPath, args, { encoding: 'utf8', cwd: folder, timeout: 60_000 });
    if (run.status !== 0) throw new BuildError('The upload tool refuses the bundle', [run.stderr.trim()]);
    const sent = readFileSync(out, 'latin1');
    if (sent !== code && sent !== `\n${code}`)
      throw new BuildError(`The upload tool would not send ${file} byte for byte`);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
