import { createHash } from 'node:crypto';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { runDuktape } from '../../support/duktape';
import { createSandbox } from '../../support/sandbox';

const shim = (name: string): string => fileURLToPath(new URL(name, import.meta.url));
const SHIMS = [shim('interpreter.js'), shim('bench.js')];

let folder: string;

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-shims-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** What a script prints after the shims, in the stripped Node context. */
async function inSandbox(script: string): Promise<string[]> {
  const sandbox = createSandbox();
  for (const file of SHIMS) sandbox.runFile(file);
  sandbox.run(script);
  return sandbox.lines;
}

/** The same on duktape. */
async function inDuktape(script: string): Promise<string[]> {
  const file = join(folder, 'script.js');
  writeFileSync(file, script);
  return runDuktape([...SHIMS, file]);
}

const HASH = `
function hex(s) { var out = ''; for (var i = 0; i < s.length; i++)
  out += (s.charCodeAt(i) < 16 ? '0' : '') + s.charCodeAt(i).toString(16); return out; }
function text(n) { var out = ''; for (var i = 0; i < n; i++) out += String.fromCharCode((i * 37 + n) & 255); return out; }
for (var n = 0; n < 200; n++) print(hex(E.toString(require('crypto').SHA256(text(n)))));`;

const STORAGE = `
var S = require('Storage');
function attempt(act) { try { return '' + act(); } catch (e) { return e.message; } }
print(S.read('log'));
print(S.write('log', 'AAAA', 0, 12) + ' ' + S.write('log', 'BB', 4));
print(S.read('log', 0, 6) + ' ' + S.read('log').length + ' ' + S.read('log', 6, 1).charCodeAt(0));
print(attempt(function () { return S.write('log', 'BB', 4); }));
print(attempt(function () { return S.write('log', 'CCCCCCC', 6); }));
print(attempt(function () { return S.write('none', 'C', 6); }));
print(S.write('log', 'XX', 0) + ' ' + S.read('log'));
print(S.getStats().trashBytes + ' ' + S.list().join());
S.erase('log');
print(S.read('log') + ' ' + S.getFree());
S.compact();
print(S.getFree());`;

const BENCH = `
function attempt(act) { try { return '' + act(); } catch (e) { return e.message; } }
var turns = 0;
setInterval(function () { turns++; E.kickWatchdog(); }, 250);
E.enableWatchdog(2, false);
bench.turn(5);
print(turns + ' ' + bench.kicks + ' ' + getTime());
print(attempt(function () { setInterval(function () {}, 1); }));
var A = [new Pin('A1'), new Pin('A2'), new Pin(3)];
pinMode(A[0], 'output');
digitalWrite(A, 6);
digitalWrite(A[2], 1);
bench.pins.B4 = 1;
bench.analog = function (name) { return name === 'C0' ? 0.5 : 0; };
print(bench.pins.A1 + ' ' + bench.pins.A2 + ' ' + bench.pins[3] + ' ' + digitalRead(new Pin('B4')) + ' ' +
  digitalRead(new Pin('B5')) + ' ' + analogRead(new Pin('C0')) + ' ' + bench.modes.A1);
print(attempt(function () { require('net').connect({}, function () {}); }));
print(attempt(function () { require('nothing'); }));`;

describe.each([
  ['the stripped Node context', inSandbox],
  ['duktape', inDuktape],
])('shims on %s', (_name, run) => {
  it('hash like the platform does, around every block boundary', async () => {
    const expected = Array.from({ length: 200 }, (_, n) => {
      const bytes = Buffer.from(Array.from({ length: n }, (_, i) => (i * 37 + n) & 255));
      return createHash('sha256').update(bytes).digest('hex');
    });
    expect(await run(HASH)).toEqual(expected);
  });

  it('keep flash files that can only be appended to, and leave trash when replaced', async () => {
    expect(await run(STORAGE)).toEqual([
      'undefined',
      'true true',
      'AAAABB 12 255',
      'File already written with different data',
      'Too much data for file size',
      'Unable to find or create file',
      'true XX',
      '44 log',
      'undefined 262066',
      '262144',
    ]);
  });

  it('turn the loop by hand and hold the pins in a table', async () => {
    expect(await run(BENCH)).toEqual([
      '5 5 1.25',
      'The controller has one interval, and it is set already',
      '1 1 1 1 0 0.5 output',
      'Unable to create socket',
      'Module nothing not found',
    ]);
  });
});

describe('stripped Node context', () => {
  it.each(['Map', 'Symbol', 'Math.trunc', 'Number.isInteger', 'Array.from', 'Object.freeze', '[].flat'])(
    'has no %s',
    (name) => {
      expect(createSandbox().run(`typeof ${name}`)).toBe('undefined');
    },
  );

  it('has neither timers nor the modules of Node', () => {
    const sandbox = createSandbox();
    for (const name of ['setTimeout', 'setInterval', 'require', 'process', 'console', 'Buffer'])
      expect([name, sandbox.run(`typeof ${name}`)]).toEqual([name, 'undefined']);
  });

  it('gives scripts the functions of the host', () => {
    const sandbox = createSandbox({ twice: (n: number) => n * 2 });
    sandbox.run('print(twice(21), typeof nobody)');
    expect(sandbox.lines).toEqual(['42 undefined']);
  });
});

describe('duktape runner', () => {
  it('reports what the engine said when a script fails', async () => {
    await expect(inDuktape('nothing();')).rejects.toThrow(/ReferenceError/);
  });
});
