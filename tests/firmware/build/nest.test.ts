import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parse } from 'acorn';
import { expect, it } from 'vitest';
import { buildFirmware } from '../../../firmware/build/build';
import { gate } from '../../../firmware/build/gate';
import { nest } from '../../../firmware/build/nest';
import { NESTING } from '../../../firmware/build/often';
import { type Ast, isFunction, walk } from '../../../firmware/build/rules/ast';

const NOTHING = { often: [], passing: [] };

/** Names of the program's top-level functions. */
function atTop(source: string): string[] {
  const { body } = parse(source, { ecmaVersion: 2022 });
  return body.flatMap((node) => (node.type === 'FunctionDeclaration' ? [node.id.name] : []));
}

/** What a program leaves in `out`. */
function run(source: string): unknown {
  return new Function(`var out = [];\n${source}\nreturn out;`)();
}

const SOURCE = `
function half(x) { return x / 2; }
function quarter(x) { return half(half(x)); }
function told(x) { out.push(quarter(x)); }
function report(x) { told(x + 1); }
function main() { report(7); report(11); }
main();`;

it('puts a function with one caller into that caller, along with the rest of the chain', () => {
  const nested = nest(SOURCE, NOTHING);
  expect(atTop(nested)).toEqual(['half', 'report', 'main']);
  expect(nested).toContain('function report(x) {\nfunction told(x) {\nfunction quarter(x) {');
  expect(run(nested)).toEqual([2, 3]);
  expect(gate(nested, { strictOrder: true })).toEqual([]);
});

it('puts often-called functions first, and nothing into them', () => {
  expect(atTop(nest(SOURCE, { often: ['told'], passing: [] }))).toEqual([
    'told',
    'half',
    'quarter',
    'report',
    'main',
  ]);
});

it.each([
  ['kept as a value', 'function f() { return 1; }\nfunction g() { return { f: f }; }\nout.push(g().f());'],
  [
    'that also calls itself',
    'function f(n) { return n ? f(n - 1) : 0; }\nfunction g() { return f(3); }\nout.push(g());',
  ],
  [
    'called in a loop',
    'function f(n) { return n; }\nfunction g() { for (var i = 0; i < 2; i++) out.push(f(i)); }\ng();',
  ],
  [
    'called by an inner function',
    'function f() { return 1; }\nfunction g() { return function () { return f(); }; }\nout.push(g()());',
  ],
  ['called by the program', 'function f() { return 1; }\nout.push(f());'],
  [
    'with a name that means something else there',
    'var k = 5;\nfunction f() { return k; }\nfunction g(k) { return f() + k; }\nout.push(g(1));',
  ],
  [
    'with its own name taken there',
    'function f() { return 1; }\nfunction g() { return f(); }\nfunction h(f) { return g() + f; }\nout.push(h(2));',
  ],
])('does not move a function %s', (_what, source) => {
  const nested = nest(source, NOTHING);
  expect(atTop(nested)).toContain('f');
  expect(run(nested)).toEqual(run(source));
});

it('does not move functions whose inner functions might be kept, unless they are known not to be', () => {
  const source =
    'function inner() { return 1; }\n' +
    'function maker() { var n = inner(); return function () { return n; }; }\n' +
    'function main() { out.push(maker()()); }\nmain();';
  expect(atTop(nest(source, NOTHING))).toEqual(['inner', 'maker', 'main']);
  const nested = nest(source, { often: [], passing: ['maker'] });
  expect(atTop(nested)).toEqual(['main']);
  expect(run(nested)).toEqual([1]);
});

it('lists only functions that the firmware has, and leaves no declared function inside another', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-nest-'));
  try {
    const built = await buildFirmware({ outDir: folder });
    const names = atTop(readFileSync(built.bundle, 'utf8'));
    expect([...NESTING.often, ...NESTING.passing].filter((name) => !names.includes(name))).toEqual([]);
    // Such a function and its scope refer to each other: memory that only a garbage collection frees.
    const inner: string[] = [];
    const depths: Ast[] = [];
    walk(parse(readFileSync(built.minified, 'utf8'), { ecmaVersion: 2022 }) as Ast, (node) => {
      while (depths.length > 0 && depths[depths.length - 1].end < node.end) depths.pop();
      if (node.type === 'FunctionDeclaration' && depths.length > 0) inner.push(node.id?.name ?? '');
      if (isFunction(node)) depths.push(node);
    });
    expect(inner).toEqual([]);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
});

it('puts a short function with two callers into both, and a longer one into neither', () => {
  const source = (body: string) => `
function shared(x) { ${body} return x + 1; }
function one(x) { return shared(x); }
function two(x) { return 2 * shared(x); }
out.push(one(1), one(2), two(1), two(2));`;
  const nested = nest(source(''), NOTHING);
  expect(atTop(nested)).toEqual(['one', 'two']);
  expect(run(nested)).toEqual([2, 3, 4, 6]);
  expect(gate(nested, { strictOrder: true })).toEqual([]);
  const long = source(`if (x > 9) { out.push('${'x'.repeat(400)}'); }`);
  expect(atTop(nest(long, NOTHING))).toEqual(['shared', 'one', 'two']);
});

it.each([
  [
    'called twice by one of them',
    'function f(x) { return x; }\nfunction a(x) { return f(x) + f(x); }\nfunction b(x) { return f(x); }\nout.push(a(1), a(2), b(1), b(2));',
    ['f', 'a', 'b'],
  ],
  [
    'that would then hold a copy of itself',
    'function f(n) { return n ? g(n - 1) : 0; }\nfunction g(n) { return n ? f(n - 1) : 1; }\nfunction a(n) { return f(n) + g(n); }\nout.push(a(3), a(2));',
    ['f', 'a'],
  ],
])('does not copy a function %s', (_why, source, left) => {
  const nested = nest(source, NOTHING);
  expect(atTop(nested)).toEqual(left);
  expect(run(nested)).toEqual(run(source));
});
