import { describe, expect, it } from 'vitest';
import { inline, inlineAll } from '../../../firmware/build/inline';

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

describe('one-line functions', () => {
  const ALL = `
var at = 2, list = [4, 5, 6];
function pick(n) { return list[n]; }
function twice(n) { return 2 * pick(n); }
function set(n) { at = n; }
function isSet(n) { return at === n && n > 0; }
function kept(n) { return n + 1; }
function calls() { return kept(1); }
set(1);
out.push(at, twice(at - 1), pick(2), isSet(1), [7].map(kept)[0], calls());`;

  it('are replaced wherever they are called, also in one another, and removed', () => {
    const changed = inlineAll(ALL);
    expect(run(changed)).toEqual(run(ALL));
    expect(run(ALL)).toEqual([1, 8, 6, true, 8, 2]);
    expect(changed).toContain('(at = 1)');
    expect(changed).toContain('(2 * (list[(at - 1)]))');
    expect([...changed.matchAll(/function (\w+)/g)].map((match) => match[1])).toEqual(['kept']);
  });

  it.each([
    ['used as a value', 'function f(n) { return n; }\nout.push([1].map(f)[0], f(2));'],
    ['given what changes something', 'var n = 0;\nfunction f(x) { return x; }\nout.push(f(n++));'],
    [
      'that may not look at its argument',
      'var n = [];\nfunction f(x) { return n && x; }\nout.push(f(n.length + 1));',
    ],
    ['that look at their argument twice', 'var n = 3;\nfunction f(x) { return x * x; }\nout.push(f(n + 1));'],
    ['that change their parameter', 'function f(x) { return x++; }\nvar n = 1;\nout.push(f(n), n);'],
    [
      'that make functions',
      'function f(x) { return function () { return x; }; }\nvar n = 1;\nout.push(f(n)());',
    ],
  ])('stay as they are when %s', (_why, source) => {
    expect(inlineAll(source)).toBe(source);
  });
});
