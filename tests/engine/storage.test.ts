// The model of the interpreter's Storage does what the real one does: the same calls leave the same bytes.
import { spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { newRandom, nextUnit } from '../../simulator/random';
import { runs } from '../support/depth';
import { flashImage, interpreterCommand } from '../support/interpreter';
import { StorageModel } from '../support/storage';
import { hasInterpreter } from './present';

const BYTES = 262_144;
const PAGE_BYTES = 1024;
const folder = mkdtempSync(join(tmpdir(), 'nightproof-storage-'));
const flashFile = join(folder, 'espruino.flash');
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** write, erase, compact, read: [what, name, length of the text, offset, size]. */
type Call = [what: 'w' | 'e' | 'c' | 'r', name: string, length: number, offset: number, size: number];

const SCRIPT = `
function text(n) { var t = 'abcdefghijklmnop'; while (t.length < n) t += t; return t.substr(0, n); }
var told = calls.map(function (c) {
  var s = require('Storage');
  try {
    if (c[0] === 'w') return s.write(c[1], text(c[2]), c[3], c[4]) ? 1 : 0;
    if (c[0] === 'e') s.erase(c[1]);
    else if (c[0] === 'c') s.compact();
    else {
      var t = s.read(c[1], c[3], c[2]);
      return t === undefined ? -1 : t.length + ',' + E.CRC32(t);
    }
    return s.getFree();
  } catch (e) { return -2; }
});
print('\\x02' + JSON.stringify(told) + '\\x03');
`;

/** Starts the interpreter on an image and gives what its script prints between the marks. */
function run(image: Buffer, script: string): Promise<{ told: string; said: string; image: Buffer }> {
  writeFileSync(flashFile, image);
  writeFileSync(join(folder, 'script.js'), script);
  const [command, ...args] = (interpreterCommand as string).split(' ');
  const child = spawn(command, [...args, 'script.js'], { cwd: folder });
  let said = '';
  child.stdout.setEncoding('latin1').on('data', (text: string) => {
    said += text;
    if (said.includes('\x03')) child.kill('SIGKILL');
  });
  child.stdin.on('error', () => {});
  return new Promise((resolve) => {
    child.on('exit', () => {
      const told = said.slice(said.indexOf('\x02') + 1, said.indexOf('\x03'));
      resolve({ told, said, image: readFileSync(flashFile) });
    });
  });
}

function text(length: number): string {
  return 'abcdefghijklmnop'.repeat(Math.ceil(length / 16)).slice(0, length);
}

function onModel(model: StorageModel, [what, name, length, offset, size]: Call): unknown {
  try {
    if (what === 'w') return model.write(name, text(length), offset, size) ? 1 : 0;
    if (what === 'e') model.erase(name);
    else if (what === 'c') model.compact();
    else {
      const found = model.read(name, offset, length);
      return found === undefined ? -1 : `${found.length},${crcOf(found)}`;
    }
    return model.getFree();
  } catch {
    return -2;
  }
}

function crcOf(found: string): number {
  let c = 0xffffffff;
  for (const byte of Buffer.from(found, 'latin1'))
    for (let bit = 0; bit < 8; bit++) c = ((c ^ (byte >> bit)) & 1 ? 0xedb88320 : 0) ^ (c >>> 1);
  return ~c >>> 0;
}

const NAMES = ['a', 'ab', 'abcdefgh', 'np.dat', 'a-name-of-twenty-eight-chars', 'np.cfg'];

function drawCalls(seed: number, count: number): Call[] {
  const r = newRandom(seed);
  const whole = (to: number): number => Math.floor(nextUnit(r) * to);
  return Array.from({ length: count }, () => {
    const what = 'wwwwwwwreerc'[whole(12)] as Call[0];
    const long = whole(3) === 0 ? 60_000 : 3000;
    const offset = whole(3) === 0 ? whole(2000) : 0;
    const length = what === 'w' ? 1 + whole(what === 'w' && offset > 0 ? 64 : 900) : whole(200);
    return [what, NAMES[whole(NAMES.length)], length, offset, whole(2) === 0 ? 0 : length + whole(long)];
  });
}

describe.skipIf(!hasInterpreter)('the model of the storage', () => {
  it.each(Array.from({ length: runs(6) }, (_, i) => i + 1))(
    'gives the same answers and leaves the same bytes as the interpreter (%i)',
    async (seed) => {
      const calls = drawCalls(seed, 150);
      const model = new StorageModel({ bytes: BYTES, pageBytes: PAGE_BYTES });
      const blank = flashImage({});
      const answers = calls.map((call) => onModel(model, call));
      const { told, image } = await run(blank, `var calls=${JSON.stringify(calls)};${SCRIPT}`);
      expect(JSON.parse(told)).toEqual(answers);
      expect(image.equals(model.image)).toBe(true);
      expect(answers.filter((answer) => answer === 1).length).toBeGreaterThan(20);
    },
  );

  it('finds a half-written storage broken, and erases it, exactly where the interpreter does', async () => {
    let erased = 0;
    for (let seed = 1; seed <= runs(60); seed++) {
      const r = newRandom(seed);
      const random = () => nextUnit(r);
      const model = new StorageModel({
        bytes: BYTES,
        pageBytes: PAGE_BYTES,
        unit: seed % 2 ? 4 : 256,
        random,
      });
      const calls = drawCalls(seed, 60);
      for (const call of calls) onModel(model, call);
      model.cutAt = model.steps + Math.floor(random() * 40);
      for (const call of calls) if (model.steps <= model.cutAt) onModel(model, call);
      model.cutAt = Number.POSITIVE_INFINITY;
      const before = Buffer.from(model.image);
      const wasErased = model.start();
      if (wasErased) erased++;
      const { said, image } = await run(before, "print('\\x02\\x03')");
      expect(said.includes('Storage is corrupt'), `seed ${seed}`).toBe(wasErased);
      expect(image.equals(model.image), `seed ${seed}`).toBe(true);
    }
    expect(erased).toBeGreaterThan(0);
  });
});
