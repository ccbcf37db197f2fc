// The self-test of the program on the real interpreter, over a program that lies in its flash.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { buildFirmware } from '../../../firmware/build/build';
import { SelfTest } from '../../../firmware/contract/codes';
import { programSum } from '../../../host/flash/configuration';
import { Interpreter } from '../../support/interpreter';
import { hasInterpreter } from '../present';

const FIRMWARE = fileURLToPath(new URL('../../../firmware', import.meta.url));
/** Runs so many slices; the sum is not in the program itself, which would change it. */
const ENTRY = `
import { boardSelfTest, setUpSelfTest } from '${FIRMWARE}/board/selfTest';
import { newInputs, Read } from '${FIRMWARE}/core/inputs';
const inputs = newInputs();
setUpSelfTest(require('Storage').read('np.sum') || '', () => Read.All);
global['slices'] = function (count: number): number {
  let found = 0;
  for (let i = 0; i < count && found === 0; i++) found = boardSelfTest(inputs, 0);
  return found;
};
`;
const SLICES = 60;

describe.skipIf(!hasInterpreter)('on the real interpreter', () => {
  const board = new Interpreter();
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-self-test-'));
  let program = '';
  beforeAll(async () => {
    const entry = join(folder, 'entry.ts');
    writeFileSync(entry, ENTRY);
    const built = await buildFirmware({ entry, outDir: folder });
    program = `${readFileSync(built.minified, 'latin1')}//${'x'.repeat(9000)}`;
  });
  afterAll(async () => {
    await board.close();
    rmSync(folder, { recursive: true, force: true });
  });

  it.each([
    ['as it was loaded', (text: string) => text, SelfTest.None],
    ['as the upload tool stores it', (text: string) => `\n${text}`, SelfTest.None],
    ['with one bit flipped', (text: string) => `${text.slice(0, -77)}z${text.slice(-76)}`, SelfTest.Program],
    ['cut short', (text: string) => text.slice(0, -1), SelfTest.Program],
  ])('a program %s gives that finding', async (_what, change, finding) => {
    await board.install({ '.bootcde': change(program), 'np.sum': programSum(program) });
    expect(await board.ask<number>(`slices(${SLICES})`)).toBe(finding);
    expect(board.complaints).toEqual([]);
  });

  it('software I2C has the calls that the driver of the clock chip makes', async () => {
    await board.install({});
    expect(await board.ask('[typeof I2C, typeof new I2C().setup, typeof new I2C().readReg]')).toEqual([
      'function',
      'function',
      'function',
    ]);
  });
});
