import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { afterEach, describe, expect, it } from 'vitest';
import { flashImage, Interpreter, interpreterCommand } from './interpreter';

const BENCH = readFileSync(fileURLToPath(new URL('../engine/shims/bench.js', import.meta.url)), 'latin1');

describe('flash image of the interpreter', () => {
  it('holds size, padded name and data of each file on word boundaries, and is erased elsewhere', () => {
    const image = flashImage({ '.boot0': 'abc', log: '\xff\x00' });
    expect(image.readUInt32LE(0)).toBe(3);
    expect(image.toString('latin1', 4, 32)).toBe('.boot0'.padEnd(28, '\0'));
    expect(image.toString('latin1', 32, 36)).toBe('abc\xff');
    expect(image.readUInt32LE(36)).toBe(2);
    expect([...image.subarray(68, 71)]).toEqual([0xff, 0, 0xff]);
  });

  it('refuses what does not fit', () => {
    expect(() => flashImage({ a: 'x'.repeat(262_144) })).toThrow('a does not fit');
    expect(() => flashImage({ ['n'.repeat(29)]: 'x' })).toThrow('does not fit');
  });
});

describe.runIf(interpreterCommand)('the real interpreter on the bench', { timeout: 60_000 }, () => {
  let engine: Interpreter;
  afterEach(() => engine.stop());

  it('runs boot code from flash, turns its loop by hand, and finds its flash again after a power cut', async () => {
    const program = [
      'var S=require("Storage");var boots=(S.read("boots")||"")+"x";S.write("boots",boots);',
      'var turns=0;function loop(){turns++;digitalWrite(new Pin("A4"),turns&1);E.kickWatchdog();}',
      'setInterval(loop,250);',
    ].join('\n');
    engine = new Interpreter({ '.boot0': BENCH, '.bootcde': program });
    expect(await engine.ask('boots')).toBe('x');
    await engine.ask('bench.turn(5)');
    expect(await engine.ask('[turns,bench.now,bench.pins.A4,bench.kicks,getTime()]')).toEqual([
      5, 1250, 1, 5, 1.25,
    ]);
    await expect(engine.ask('require("net").connect({},print)')).rejects.toThrow('Unable to create socket');
    const memory = await engine.memory();
    expect(memory.usage + memory.free).toBe(memory.total);
    await engine.restart();
    expect(await engine.ask('boots')).toBe('xx');
    expect(engine.complaints).toEqual([]);
  });

  it('collects what the interpreter complains of, and says when it has ended', async () => {
    engine = new Interpreter({ '.bootcde': 'var a=1;nowhere();' });
    await engine.ask('1');
    expect(engine.complaints.join()).toMatch(/ReferenceError: "nowhere" is not defined/);
    await engine.ask('quit()');
    await expect(engine.ask('1')).rejects.toThrow('The interpreter has ended');
  });
});
