// docs/guards.md agrees with the circuit, the kept results and the program.
import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { Limit } from '../../../firmware/contract/limits';
import { COUNTED_PERIODS, guardBoard } from '../../../simulator/guards/board';
import { filled } from '../../../simulator/guards/document';
import { LIMITS } from '../../../simulator/guards/faults';
import { DOCUMENT, documentNow } from './document';
import { fingerprint, readPieces } from './results';
import { COLD_ROOM_HOT } from './tolerances';

const text = readFileSync(DOCUMENT, 'utf8');
const flat = text.replace(/\s+/g, ' ');
const wiring = readFileSync(join(dirname(DOCUMENT), 'wiring.md'), 'utf8').replace(/\s+/g, ' ');

describe('docs/guards.md', () => {
  it('has the tables that the circuit and the results give', () => {
    expect(text, 'run `npm run guards -- document`').toBe(documentNow());
    for (const { id, rating } of guardBoard.parts) expect(text).toContain(`| ${id} | ${rating} |`);
  });

  it('states the limits that the tests hold the circuit to', () => {
    const n = (value: number) => value.toLocaleString('en');
    expect(flat).toContain(`Off within ${n(LIMITS.detectorMs)} ms of the last rising edge`);
    expect(flat).toContain(`held through pauses of ${LIMITS.pauseMs} ms`);
    expect(flat).toContain(`timer ${n(LIMITS.timerSecMin)} to ${n(LIMITS.timerSecMax)} s`);
    expect(flat).toContain(`within ${LIMITS.hurriedSecMin} to ${LIMITS.hurriedSecMax} s, once, and stay`);
    // The lamp is the fourth stage: it changes every eighth period.
    const tenChanges = (sec: number) => Math.round((10 * 8 * sec) / COUNTED_PERIODS);
    const [least, most] = [tenChanges(LIMITS.timerSecMin), tenChanges(LIMITS.timerSecMax)];
    expect(flat).toContain(`count ten changes of the lamp H1 without the button: ${least} to ${most} s`);
    expect(flat).toContain(`makes one edge on \`drive\` every ${Limit.LoopMs} ms`);
    expect(flat).toContain(`the longest test, ${n(Limit.RatedSecMax + Limit.OpenGraceSec)} s`);
  });

  it('refuses a table for which it has no place', () => {
    expect(() => filled(text, { prices: '' })).toThrow('The document has no place for the table "prices".');
  });
});

it('docs/wiring.md rounds the kept results outwards', () => {
  const { rows } = readPieces();
  const sec = (ms: number) => (ms / 1000).toFixed(2);
  const detector = rows.flatMap(({ stopsLowMs, stopsHighMs }) => [...stopsLowMs, ...stopsHighMs]);
  const enable = rows.flatMap(({ enableMs }) => enableMs);
  const [soon, late] = [Math.floor(Math.min(...detector) / 10), Math.ceil(Math.max(...detector) / 10)];
  expect(wiring).toContain(
    `the coil is off ${sec(10 * soon)} to ${sec(10 * late)} s after the last rising edge`,
  );
  expect(wiring).toContain(`(simulated: ${Math.min(...enable)} to ${Math.max(...enable)} ms)`);
});

describe('the kept table of pieces', () => {
  const { rows, fingerprint: kept } = readPieces();

  it('is about this circuit, and every piece keeps to the limits at each temperature', () => {
    expect(kept, 'run `npm run guards -- pieces` again').toBe(fingerprint());
    expect(rows.map(({ celsius }) => celsius)).toEqual(COLD_ROOM_HOT);
    for (const one of rows) {
      expect(one.count).toBe(1000);
      expect(one.complaints).toEqual({});
      expect(Math.max(one.stopsLowMs[1], one.stopsHighMs[1])).toBeLessThanOrEqual(LIMITS.detectorMs);
      expect(Math.min(one.stopsLowMs[0], one.stopsHighMs[0])).toBeGreaterThan(LIMITS.pauseMs);
      expect(one.enableMs[1]).toBeLessThanOrEqual(LIMITS.enableMs);
      expect(one.timerSec[0]).toBeGreaterThanOrEqual(LIMITS.timerSecMin);
      expect(one.timerSec[1]).toBeLessThanOrEqual(LIMITS.timerSecMax);
    }
  });
});
