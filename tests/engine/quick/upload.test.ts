// The npm package `espruino` sends the built firmware over a serial port into the interpreter's flash, as a
// technician's computer would. The port is a pseudo-terminal, which loses bytes on a busy machine: what is
// read back counts.
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { buildFirmware } from '../../../firmware/build/build';
import { PortInterpreter } from '../../support/interpreterPort';
import { hasInterpreter } from '../present';

describe.skipIf(!hasInterpreter)('over a serial port', () => {
  const board = new PortInterpreter();
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-upload-'));
  afterAll(async () => {
    await board.close();
    rmSync(folder, { recursive: true, force: true });
  });

  it('holds in flash what was sent, byte for byte, and mends a file that differs', async () => {
    const built = await buildFirmware({ outDir: folder });
    const files = { '.bootcde': readFileSync(built.minified, 'latin1'), 'np.note': 'a text of the bench' };
    await board.install(files);
    expect((await board.read('.bootcde')).replace(/^\n/, '')).toBe(files['.bootcde']);
    expect(await board.read('np.note')).toBe(files['np.note']);
    await board.ask('require("Storage").write("np.note","a text with a loss")');
    await board.install(files);
    expect(await board.read('np.note')).toBe(files['np.note']);
  });
});
