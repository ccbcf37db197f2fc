import { describe, expect, it } from 'vitest';
import { crc32 } from '../../firmware/journal/crc32';
import { InterpreterConsole } from '../support/interpreterConsole';
import { Listener, rigParts } from './rig';

describe('lines for the rig', () => {
  it('count time from the line before, across what was played earlier', () => {
    expect(rigParts(['T 1250 3 0,12', 'O 1250', 'C 1300', 'T 1500 1'], 1000)).toEqual([
      'rig.ma.set([0,12]),rig.t(250,3,1),rig.open(),rig.ms+=50,rig.close(false),rig.t(200,1,1)',
    ]);
  });

  it('deliver data in pieces as a network does, all at the same instant', () => {
    const parts = rigParts([`D 700 ${'5a'.repeat(150)}`, 'T 750 1'], 500);
    const calls = parts.join().split(',rig');
    expect(calls[0]).toBe('rig.ms+=200');
    expect(calls[4]).toBe('.t(50,1,1)');
    const bytes = calls.slice(1, 4).map((call) => Buffer.from(call.split('"')[1], 'base64'));
    expect(bytes.map((piece) => piece.length)).toEqual([64, 64, 22]);
    expect(Buffer.concat(bytes)).toEqual(Buffer.alloc(150, 0x5a));
  });

  it('merge identical turns, and no others', () => {
    const lines = [
      'T 250 3',
      'T 500 3',
      'T 750 3',
      'T 1000 2',
      'T 1500 2',
      'T 1750 2 5',
      'T 2000 2',
      'T 2250 2',
    ];
    expect(rigParts(lines, 0)).toEqual([
      'rig.t(250,3,3),rig.t(250,2,1),rig.t(500,2,1),rig.ma.set([5]),rig.t(250,2,3)',
    ]);
  });

  it('are handed over in texts that the console takes', () => {
    const parts = rigParts(
      Array.from({ length: 500 }, (_, i) => `T ${i * 250} ${i % 2}`),
      0,
    );
    expect(parts.length).toBeGreaterThan(1);
    for (const part of parts) expect(part.length).toBeLessThanOrEqual(150);
    expect(parts.join().split('rig.t(250')).toHaveLength(500);
  });
});

describe('what the rig prints', () => {
  it('is assembled into the lines of a trace', () => {
    const listener = new Listener();
    const bytes = Buffer.from(Array.from({ length: 100 }, (_, i) => i));
    const printed = ['P 250 1', 'W 500 100'];
    for (let i = 0; i < 100; i += 48) printed.push(`-${bytes.subarray(i, i + 48).toString('base64')}`);
    for (const line of [...printed, 'P 750 0']) listener.hear(line);
    expect(listener.told).toEqual(['P 250 1', `W 500 ${bytes.toString('hex')}`, 'P 750 0']);
  });

  it('recognises edges and watchdog in what the trace holds', () => {
    const listener = new Listener();
    const seen: string[] = [];
    listener.live = (event) => seen.push(event);
    for (const line of ['E1', 'K', 'E0']) listener.hear(line);
    expect([seen, listener.told]).toEqual([['E1', 'K', 'E0'], []]);
  });
});

describe('questions to the interpreter', () => {
  const answered = (question: string, answer: string) =>
    `\x02=${crc32(question)} ${crc32(answer)} ${answer}\r\n`;

  it('go one at a time, and what else is printed is passed on', async () => {
    const events: string[] = [];
    const sent: string[] = [];
    const console = new InterpreterConsole((question) => sent.push(question));
    console.event = (line) => events.push(line);
    const answers = [console.ask('1+1'), console.ask('none()')];
    await expect.poll(() => sent).toEqual(['1;[1+1]']);
    const answer = answered('1;[1+1]', '[2]');
    console.read(`\r\x1b[J\x02W 1 2\r\n>${answer.slice(0, 4)}`);
    console.read(`${answer.slice(4)}Uncaught Error: a loose end\r\n`);
    expect(await answers[0]).toBe(2);
    await expect.poll(() => sent).toHaveLength(2);
    console.read(answered('2;[none()]', '"ReferenceError"'));
    await expect(answers[1]).rejects.toThrow('none(): ReferenceError');
    expect([events, console.complaints]).toEqual([['W 1 2'], ['Uncaught Error: a loose end']]);
  });

  it('are not answered by what answers another question, or has lost a byte', async () => {
    const sent: string[] = [];
    const console = new InterpreterConsole((question) => sent.push(question));
    const answer = console.ask('getTime()');
    await expect.poll(() => sent).toHaveLength(1);
    console.read(answered('0;[getTime()]', '[7]'));
    console.read(answered(sent[0], '[1234]').replace('1234', '124'));
    await expect(answer).rejects.toThrow('damaged');
  });

  it('are refused when they do not fit into one line', async () => {
    const console = new InterpreterConsole(() => {});
    await expect(console.ask('x'.repeat(6000))).rejects.toThrow('one line');
    await expect(console.ask('a\nb')).rejects.toThrow('one line');
  });
});
