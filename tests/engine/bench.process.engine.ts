// The interpreter as a process of our own, with the workbench in front (shims/bench.js): the memory
// measurements rely on it.
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Interpreter } from '../support/interpreter';

const BENCH = readFileSync(fileURLToPath(new URL('./shims/bench.js', import.meta.url)), 'latin1');

describe('the real interpreter on the bench', () => {
  let engine: Interpreter;
  beforeEach(() => {
    engine = new Interpreter();
  });
  afterEach(() => engine.close());

  it('runs boot code from flash, turns its loop by hand, and finds its flash again after a power cut', async () => {
    const program = [
      'var S=require("Storage");var boots=(S.read("boots")||"")+"x";S.write("boots",boots);',
      'var turns=0;function loop(){turns++;digitalWrite(new Pin("A4"),turns&1);E.kickWatchdog();}',
      'setInterval(loop,250);',
    ].join('\n');
    await engine.install({ '.boot0': BENCH, '.bootcde': program });
    expect(await engine.ask('boots')).toBe('x');
    await engine.ask('bench.turn(5)');
    expect(await engine.ask('[turns,bench.now,bench.pins.A4,bench.kicks,getTime()]')).toEqual([
      5, 1250, 1, 5, 1.25,
    ]);
    await expect(engine.ask('require("net").connect({},print)')).rejects.toThrow('Unable to create socket');
    const memory = await engine.memory();
    expect(memory.usage + memory.free).toBe(memory.total);
    await engine.powerCut();
    expect(await engine.ask('boots')).toBe('xx');
    expect(engine.complaints).toEqual([]);
  });

  it("collects the interpreter's complaints, and reports when it has ended", async () => {
    await engine.install({ '.bootcde': 'var a=1;nowhere();' });
    await engine.ask('1');
    expect(engine.complaints.join()).toMatch(/ReferenceError: "nowhere" is not defined/);
    await engine.ask('quit()');
    await expect(engine.ask('1')).rejects.toThrow('The interpreter has ended');
  });
});
