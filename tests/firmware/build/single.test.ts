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
    expect(text).toContain('theCore.count += n;');
    expect(text).toContain('function send(n) {');
    expect(text).toContain('add(n)');
    expect(text.split('\n').slice(0, 2)).toEqual(['var theCore;', 'var theLink;']);
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
print('' + newCore(1).count + twin().count);`;
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
