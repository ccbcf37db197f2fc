import { describe, expect, it } from 'vitest';
import { InterpreterConsole } from '../support/interpreterConsole';
import { Listener, rigParts } from './rig';

describe('lines for the rig', () => {
  it('count time from the line before, across what was played earlier', () => {
    expect(rigParts(['T 1250 3 0,12', 'O 1250', 'T 1500 1'], 1000)).toEqual(['T 250 3 0,12\nO 0\nT 250 1\n']);
  });

  it('bring data in pieces as a network does, all at the same instant', () => {
    const parts = rigParts([`D 700 ${'5a'.repeat(400)}`, 'T 750 1'], 500);
    const lines = parts.join('').trim().split('\n');
    expect(lines.map((line) => line.split(' ').slice(0, 2).join(' '))).toEqual([
      'D 200',
      'D 0',
      'D 0',
      'T 50',
    ]);
    const bytes = lines.slice(0, 3).map((line) => Buffer.from(line.split(' ')[2], 'base64'));
    expect(bytes.map((piece) => piece.length)).toEqual([192, 192, 16]);
    expect(Buffer.concat(bytes)).toEqual(Buffer.alloc(400, 0x5a));
  });

  it('are handed over in texts that the console takes', () => {
    const lines = Array.from({ length: 500 }, (_, i) => `T ${i * 250} 3`);
    const parts = rigParts(lines, 0);
    expect(parts.length).toBeGreaterThan(1);
    for (const part of parts) expect(part.length).toBeLessThanOrEqual(330);
    expect(parts.join('').trim().split('\n')).toHaveLength(500);
  });
});

describe('what the rig prints', () => {
  it('is put together to the lines of a trace', () => {
    const listener = new Listener();
    const bytes = Buffer.from(Array.from({ length: 100 }, (_, i) => i));
    const printed = ['P 250 1', 'W 500 100'];
    for (let i = 0; i < 100; i += 48) printed.push(`-${bytes.subarray(i, i + 48).toString('base64')}`);
    for (const line of [...printed, 'P 750 0']) listener.hear(line);
    expect(listener.told).toEqual(['P 250 1', `W 500 ${bytes.toString('hex')}`, 'P 750 0']);
  });

  it('tells edges and watchdog apart from what the trace holds', () => {
    const listener = new Listener();
    const seen: string[] = [];
    listener.live = (event) => seen.push(event);
    for (const line of ['E1', 'K', 'E0']) listener.hear(line);
    expect([seen, listener.told]).toEqual([['E1', 'K', 'E0'], []]);
  });
});

describe("the interpreter's console", () => {
  it('answers questions in their order and passes on the rest', async () => {
    const events: string[] = [];
    const sent: string[] = [];
    const console = new InterpreterConsole((bytes) => sent.push(bytes));
    console.event = (line) => events.push(line);
    const answers = [console.ask('1+1'), console.ask('none()')];
    console.read('\r\x1b[J\x02W 1 2\r\n>\x02[');
    console.read('2]\r\nUncaught Error: a loose end\r\n\x02"ReferenceError"\r\n');
    expect(await answers[0]).toBe(2);
    await expect(answers[1]).rejects.toThrow('none(): ReferenceError');
    expect([events, console.complaints]).toEqual([['W 1 2'], ['Uncaught Error: a loose end']]);
    expect(sent[0].startsWith('\x10')).toBe(true);
  });

  it('refuses what does not fit into one line', async () => {
    const console = new InterpreterConsole(() => {});
    await expect(console.ask('x'.repeat(6000))).rejects.toThrow('one line');
    await expect(console.ask('a\nb')).rejects.toThrow('one line');
  });
});
