import { expect, it } from 'vitest';
import { inline } from '../../../firmware/build/inline';

/** What a program leaves in `out`. */
function run(source: string): unknown {
  return new Function(`var out = [];\n${source}\nreturn out;`)();
}

const NAMES = ['read', 'pick'];
const SOURCE = `
var pins = [3, 5], at = 0;
function pick(n) { out.push('pick', n, pins[n]); }
function read() { return pins[at] + 1; }
function sum(i) { pick(i); at = i; return 2 * read() + read(); }
out.push(sum(0), sum(1));`;

it('replaces calls of one-line functions by their bodies, and the program does the same', () => {
  const changed = inline(SOURCE, NAMES);
  expect(changed).toContain(
    "(out.push('pick', i, pins[i])); at = i; return 2 * (pins[at] + 1) + (pins[at] + 1);",
  );
  expect(run(changed)).toEqual(run(SOURCE));
  expect(run(SOURCE)).toEqual(['pick', 0, 3, 'pick', 1, 5, 12, 18]);
});

it.each([
  ['not listed', 'function other() { return 1; }\nout.push(other());'],
  ['of more than one statement', 'function read() { at = 1; return at; }\nvar at = 0;\nout.push(read());'],
  [
    'called where its names mean something else',
    'var at = 1;\nfunction read() { return at; }\nfunction f(at) { return at + read(); }\nout.push(f(5));',
  ],
  [
    'whose argument does something',
    'var n = 0;\nfunction read(x) { return x + x; }\nfunction f() { return ++n; }\nout.push(read(f()));',
  ],
  ['whose value is missing', 'function pick() { out.push(1); }\nout.push(pick());'],
  [
    'hidden by a local function',
    'function read() { return 1; }\n(function (read) { out.push(read()); })(function () { return 2; });',
  ],
])('does not replace a call of a function %s', (_why, source) => {
  expect(inline(source, NAMES)).toBe(source);
});
