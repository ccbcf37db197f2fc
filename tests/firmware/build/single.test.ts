// What the firmware has only once becomes a variable of the program: same behaviour, fewer parameters.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { buildFirmware } from '../../../firmware/build/build';

let folder: string;

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-single-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** The readable bundle of one file, and what it prints. */
async function build(source: string): Promise<{ text: string; printed: string[] }> {
  writeFileSync(join(folder, 'one.ts'), `${source}\nexport {};\n`);
  const built = await buildFirmware({ entry: join(folder, 'one.ts'), outDir: join(folder, 'out') });
  const run = (file: string) => {
    const printed: string[] = [];
    new Function('print', readFileSync(file, 'utf8'))((text: string) => printed.push(text));
    return printed;
  };
  const printed = run(built.bundle);
  expect(run(built.minified)).toEqual(printed);
  return { text: readFileSync(built.bundle, 'utf8'), printed };
}

const MODEL = `
interface Core { count: number; }
interface Link { core: Core; sent: number; }
function newCore(count: number): Core { return { count: count }; }
`;

describe('an object that the firmware has once', () => {
  it('is no longer a parameter, nor a field on the way to it, and means the same', async () => {
    const { text, printed } = await build(`${MODEL}
function add(s: Core, n: number): number { s.count += n; return s.count; }
function send(l: Link, n: number): void { l.sent++; print(l.sent + ' ' + add(l.core, n) + ' ' + l.core.count); }
const link: Link = { core: newCore(40), sent: 0 };
send(link, 2);
send(link, 3);`);
    expect(printed).toEqual(['1 42 42', '2 45 45']);
    expect(text).toContain('function add(n) {');
    expect(text).toContain('theCoreNumbers[0] += n;');
    expect(text).toContain('function send(n) {');
    expect(text).toContain('add(n)');
    const variables = ['var theCore;', 'var theCoreNumbers;', 'var theLink;', 'var theLinkNumbers;'];
    expect(text.split('\n').slice(0, 4)).toEqual(variables);
  });

  it('keeps its numbers in an array, in the order of its literal, and hands that over as any object', async () => {
    const { text, printed } = await build(`
const enum Stage { Core = 0, Second = 3 }
interface Core { name: string; stage: Stage; count: number; list: number[]; }
function listed(of: object): string {
  const fields = of as { [name: string]: number };
  let all = '';
  for (const name in fields) if (typeof fields[name] === 'number') all += fields[name] + ',';
  return all;
}
const core: Core = { name: 'x', count: 5, list: [1, 2], stage: Stage.Second };
core.count++;
core.list[1] = core.count;
print(listed(core) + core.name + core.list.join());
core.stage = Stage.Core;
print(core.stage === Stage.Core ? 'first' : 'other');`);
    expect(printed).toEqual(['6,3,x1,6', 'first']);
    expect(text).toContain('new Float64Array([5, 3');
  });

  it('is refused where its numbers are read from anything but a plain name', async () => {
    const source = `${MODEL}
print('' + newCore(4).count);`;
    await expect(build(source)).rejects.toThrow(
      /one\.ts:6 "newCore\(4\)" is left out, so it must be a plain name$/,
    );
  });

  it('stays a parameter of a function that is used as a value', async () => {
    const { text, printed } = await build(`${MODEL}
function told(s: Core): void { print('' + s.count); }
const port = { told: told };
const core = newCore(7);
port.told(core);
told(core);`);
    expect(printed).toEqual(['7', '7']);
    expect(text).toContain('function told(s) {');
  });

  it('is refused when it is created in a second place', async () => {
    const source = `${MODEL}
function twin(): Core { return { count: 2 }; }
const core = newCore(1);
print('' + core.count);
twin();`;
    await expect(build(source)).rejects.toThrow(
      /^The firmware cannot share its single objects:\n {2}.*one\.ts:6 makes a second Core$/,
    );
  });

  it('is refused where an argument creates it: it would no longer be created', async () => {
    const source = `${MODEL}
function told(s: Core): void { print('' + s.count); }
told(newCore(3));`;
    await expect(build(source)).rejects.toThrow(
      /one\.ts:7 "newCore\(3\)" is left out of the call, so it must be a plain name$/,
    );
  });
});
