// What the driver of the lamp bus takes of a turn on the emulated Cortex-M4, whose clock counts instructions,
// beside what the converter takes of it: so a turn of the program for modules on a bus is no longer than the turns
// that mcu.test.ts measures.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { buildFirmware } from '../../../firmware/build/build';
import { Limit } from '../../../firmware/contract/limits';
import { busFrame } from '../../support/busFrame';
import { hasMcu, Machine, shimText } from '../mcu/machine';
import { cyclesPerInstruction, INSTRUCTIONS_A_SECOND, SERIES } from '../mcu/speed';

const FIRMWARE = fileURLToPath(new URL('../../../firmware', import.meta.url));
const LAMPS = 16;
const CLOCK_MHZ = 84;
/** Exchanges that can fall into the time between two turns at 9,600 bit/s, 52 ms each (docs/wiring.md). */
const BETWEEN_TURNS = Math.ceil(Limit.LoopMs / 52);

/** Both ways of reading the lamps. */
const ENTRY = `
import * as analogue from '${FIRMWARE}/board/lamps/analogue';
import * as bus from '${FIRMWARE}/board/lamps/modbus';
import { newInputs } from '${FIRMWARE}/core/inputs';
const inputs = newInputs();
const rows: number[] = [];
for (let i = 1; i <= ${LAMPS}; i++) rows.push(i, 0, 1);
const pins = { zero: 0.5, spanMilliamps: 4096 };
analogue.setUpLamps({ driver: 'internal', select: ['A8', 'A9', 'A10', 'A15'], lamp: 'A0' }, pins as never);
bus.setUpLamps(
  { driver: 'modbus', port: 'Line', tx: 'B10', rx: 'B11', baud: 9600, parity: 'even', code: 4, rows: rows },
  pins as never,
);
global['busTurn'] = function (): void {
  bus.readLamps(inputs, ${LAMPS}, 0);
};
global['converterTurn'] = function (): void {
  analogue.readLamps(inputs, ${LAMPS}, 0);
};
global['lampRead'] = function (i: number): number {
  return inputs.lamp[i];
};
`;

/**
 * The serial port and the timers, which only keep what they are given. \`sweep\` gives the seconds that a sweep's
 * beginning takes, an answer with the timer that follows it, at most, the taking over of the readings, and a
 * reading by the converter.
 */
const PORT = `
var Line={setup:function(){},write:function(){},on:function(e,c){Line.take=c;}};
global.setTimeout=function(f){Line.up=f;return 1;};
global.clearTimeout=function(){};
var took=function(f,a){var at=getTime();f(a);return getTime()-at;};
var sweep=function(answers){
var most=[took(busTurn),0,0,0];
for(var i=0;i<answers.length;i++)most[1]=Math.max(most[1],took(Line.take,answers[i])+took(Line.up));
most[2]=took(busTurn);
Line.read=[lampRead(0),lampRead(answers.length-1)];
most[3]=took(converterTurn);
return most;
};
`;

describe.skipIf(!hasMcu)('on the emulated microcontroller', () => {
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-bus-turn-'));
  let machine: Machine;
  beforeAll(async () => {
    const entry = join(folder, 'entry.ts');
    writeFileSync(entry, ENTRY);
    const { minified } = await buildFirmware({ entry, outDir: folder });
    machine = new Machine(0);
    await machine.start({
      '.boot0': shimText(),
      '.boot1': SERIES + PORT,
      '.bootcde': readFileSync(minified, 'latin1'),
    });
  });
  afterAll(() => {
    machine?.close();
    rmSync(folder, { recursive: true, force: true });
  });

  it('the driver of the bus takes less of a turn than the converter, and its answers fit in between', async () => {
    const hexOf = (i: number) =>
      busFrame([i + 1, 4, 2, 0, 100 + i]).map((byte) => `\\x${byte.toString(16).padStart(2, '0')}`);
    const answers = Array.from({ length: LAMPS }, (_, i) => `"${hexOf(i).join('')}"`).join(',');
    const found = await machine.ask<number[]>(`sweep([${answers}])`);
    expect(await machine.ask('Line.read')).toEqual([100, 100 + LAMPS - 1]);
    // Last, because it makes variables of names that the program has, too.
    const cycles = cyclesPerInstruction(await machine.ask<number>('series()'));
    const [begin, exchange, takeOver, converter] = found.map(
      (sec) => (sec * INSTRUCTIONS_A_SECOND * cycles) / CLOCK_MHZ / 1000,
    );
    console.log(
      `Sweep begun in ${begin.toFixed(1)} ms, exchange ${exchange.toFixed(1)}, readings taken over ` +
        `${takeOver.toFixed(1)}; converter read ${converter.toFixed(1)}.`,
    );
    expect(Math.min(begin, exchange, takeOver)).toBeGreaterThan(0.5);
    expect(begin + takeOver).toBeLessThan(converter);
    expect(exchange * BETWEEN_TURNS).toBeLessThan(Limit.LoopMs);
    expect(machine.console.complaints).toEqual([]);
  });
});
