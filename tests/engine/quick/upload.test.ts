// The npm package `espruino` sends the built firmware over a serial port into the interpreter's flash, as a
// technician's computer would. The port is a pseudo-terminal, which loses bytes on a busy machine: what is
// read back counts.
import { afterAll, describe, expect, it } from 'vitest';
import { PortInterpreter } from '../../support/interpreterPort';
import { programOf } from '../firmware';
import { hasInterpreter } from '../present';

describe.skipIf(!hasInterpreter)('over a serial port', () => {
  const board = new PortInterpreter();
  afterAll(() => board.close());

  it('holds in flash what was sent, byte for byte, and mends a file that differs', async () => {
    const files = { '.bootcde': programOf(), 'np.note': 'a text of the bench' };
    await board.install(files);
    expect((await board.read('.bootcde')).replace(/^\n/, '')).toBe(files['.bootcde']);
    expect(await board.read('np.note')).toBe(files['np.note']);
    await board.ask('require("Storage").write("np.note","a text with a loss")');
    await board.install(files);
    expect(await board.read('np.note')).toBe(files['np.note']);
  });
});
