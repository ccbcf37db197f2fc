import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { buildFirmware } from '../../../firmware/build/build';
import { gate } from '../../../firmware/build/gate';

let folder: string;

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-build-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Builds a program from these files; the first is the entry. */
function build(files: { [name: string]: string }) {
  for (const [name, text] of Object.entries(files)) writeFileSync(join(folder, name), text);
  return buildFirmware({ entry: join(folder, Object.keys(files)[0]), outDir: join(folder, 'out') });
}

describe('building the firmware', () => {
  it('emits the controller as plain ES5 that passes the gate before and after minifying', async () => {
    const built = await buildFirmware({ outDir: join(folder, 'controller') });
    const readable = readFileSync(built.bundle, 'utf8');
    const minified = readFileSync(built.minified, 'utf8');
    expect(gate(readable, { strictOrder: true })).toEqual([]);
    expect(gate(minified, { strictOrder: false })).toEqual([]);
    expect(minified).toMatch(/^[\n -~]+$/);
    expect(built.minifiedBytes).toBe(minified.length);
    expect(built.minifiedBytes).toBeLessThan(built.bundleBytes);
    expect(built.estimatedCells).toBe(Math.ceil(built.minifiedBytes * 0.043));
  });

  it('inlines const enums and leaves no wrapper and no export', async () => {
    const built = await build({
      'a.ts': "import { Colour } from './b';\nprint('' + Colour.Red);\nexport const unused = 1;\n",
      'b.ts': 'export const enum Colour { Red = 7 }\n',
    });
    expect(readFileSync(built.bundle, 'utf8').trim().split('\n')[0]).toBe("print('' + 7);");
  });

  it('never names a minified function like a pin', async () => {
    const lines = Array.from({ length: 400 }, (_, n) => `export function f${n}() { print('${n}${n}'); }`);
    const calls = lines.map((_, n) => `f${n}(); f${n}();`);
    const built = await build({ 'many.ts': [...lines, ...calls].join('\n') });
    const names = readFileSync(built.minified, 'utf8').matchAll(/function (\w+)\(/g);
    expect([...names].map((match) => match[1]).filter((name) => /^([A-HSV]\d+|[Eg])$/.test(name))).toEqual(
      [],
    );
  });

  it('refuses what the interpreter lacks, giving file, line and the missing word', async () => {
    await expect(build({ 'map.ts': 'export const seen = new Map();\n' })).rejects.toThrow(
      /^The firmware does not compile:\n {2}.*map\.ts:1:25 Cannot find name 'Map'/,
    );
    await expect(build({ 'cut.ts': 'const a = [1];\na.length = 0;\nexport {};\n' })).rejects.toThrow(
      /cut\.ts:2:3 .*read-only/,
    );
  });

  it('refuses circular imports, which would need hoisting', async () => {
    const files = {
      'ring.ts': "import { b } from './ring2';\nexport function a(): number { return b(); }\na();\n",
      'ring2.ts': "import { a } from './ring';\nexport function b(): number { return a(); }\n",
    };
    await expect(build(files)).rejects.toThrow(/^The firmware cannot be bundled:\n {2}Circular dependency/);
  });

  it('refuses a name used before its definition, giving its place in the bundle', async () => {
    const source = 'first();\nfunction first(): void { print("a"); }\nexport {};\n';
    await expect(build({ 'early.ts': source })).rejects.toThrow(
      /^The interpreter would not run this bundle.*\n.*nightproof\.bundle\.js:1:1 order: first is used/,
    );
  });

  it('refuses inheritance, which compiles but does not run', async () => {
    const source =
      'class A { m(): number { return 1; } }\nclass B extends A {}\nprint("" + new B().m());\nexport {};\n';
    await expect(build({ 'heir.ts': source })).rejects.toThrow(
      / missing: the compiler's helper __extends does not work/,
    );
  });
});
