// Requirements on what the board itself can do to the supply, as far as a program can show it. What only
// wires and parts can show is in docs/wiring.md and is tried by hand at commissioning; the tests here check
// that it is written down with numbers that agree. Status marks: V1 read in primary text or an authority's
// page, V2 secondary restatement, M from memory, CP common practice without source, CALC calculated.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { beforeEach, describe, expect, it } from 'vitest';
import { loadBoards } from '../../firmware/build/boards';
import { Ending, TestKind } from '../../firmware/contract/codes';
import { Limit } from '../../firmware/contract/limits';
import { guardBoard } from '../../simulator/guards/board';
import { LIMITS } from '../../simulator/guards/faults';
import { ratedValue } from '../../simulator/guards/part';
import { readPieces } from '../simulator/guards/results';
import { circuit, LOST_SEC, toDark } from './rig';

const root = fileURLToPath(new URL('../..', import.meta.url));
const wiring = readFileSync(join(root, 'docs/wiring.md'), 'utf8').replace(/\s+/g, ' ');
const boardFiles = readdirSync(join(root, 'firmware/board')).filter((name) => /(?<!\.d)\.ts$/.test(name));
const board = boardFiles.map((name) => readFileSync(join(root, 'firmware/board', name), 'utf8')).join('\n');

/** The board's relay module, on pins that remember their level. */
interface RelayFile {
  setUpRelay(name: string, enableName: string): void;
  drive(open: number, until: number, ending: number): void;
  pulse(now: number): void;
}
const RELAY_FILE = new URL('../../firmware/board/relay.ts', import.meta.url).href;
let relay: RelayFile;
let level = -1;
/** Level of `enable`. */
let gate = -1;
/** Instants at which the pin rose. */
let rises: number[] = [];
let now = 0;

beforeEach(async () => {
  rises = [];
  now = 0;
  level = -1;
  Object.assign(globalThis, {
    Pin: class {
      constructor(readonly name: string) {}
    },
    pinMode: () => undefined,
    digitalWrite: (pin: { name: string }, to: number) => {
      if (pin.name === 'gate') {
        gate = to;
        return;
      }
      if (to && !level) rises.push(now);
      level = to;
    },
  });
  relay = (await import(RELAY_FILE)) as RelayFile;
  relay.setUpRelay('X', 'gate');
});

/** Turns of the loop until `until`, each renewing the drive for `leaseMs` if given. */
function turns(until: number, leaseMs?: number): void {
  for (; now < until; now += Limit.LoopMs) {
    if (leaseMs !== undefined) relay.drive(1, now + leaseMs, Ending.All);
    relay.pulse(now);
  }
}

describe('the coil', () => {
  it('R19 is held by edges that the loop makes: if the loop stops, so do the edges, and the contact returns to rest (AS 2293.1, V1)', () => {
    expect(level).toBe(0);
    turns(10_000, Limit.LeaseMs);
    // A rising edge every second turn; the pulse detector is sized for that.
    expect(rises).toHaveLength(20);
    const gaps = rises.slice(1).map((at, i) => at - rises[i]);
    expect(Math.max(...gaps)).toBe(2 * Limit.LoopMs);
    relay.drive(0, 0, Ending.All);
    expect([level, gate]).toEqual([0, 0]);
  });

  it('R19 gets no edge after the lease that the core renews has ended, and none ever past the built-in cap, whatever the core asks for (AS 2293.1, V1)', () => {
    relay.drive(1, Limit.LeaseMs, Ending.All);
    turns(60_000);
    expect(rises.length).toBeGreaterThan(0);
    expect(Math.max(...rises)).toBeLessThanOrEqual(Limit.LeaseMs);
    relay.drive(0, 0, Ending.All);
    const from = now;
    turns(from + Limit.OpenCapSec * 1000 + 3_600_000, Limit.LeaseMs);
    expect(rises.at(-1)! - from).toBeLessThanOrEqual(Limit.OpenCapSec * 1000);
    expect(rises.at(-1)! - from).toBeGreaterThan(Limit.OpenCapSec * 1000 - 1000);
    expect(level).toBe(0);
  });

  it('R19 gets no edge later than 5 s after the last decision of the real core, at any moment of a test (AS 2293.1, V1; time CP)', () => {
    relay.drive(0, 0, Ending.All);
    for (const afterSec of [1, 20, 59, 600, 2000, 3590]) {
      const e = toDark(circuit(TestKind.Full));
      e.run(e.node.plant.suppliedChangedAt + afterSec * 1000);
      const core = e.node.controller!.core;
      expect(core.drive).toBe(1);
      // The board's clock at the core's last turn; from here on nobody renews anything.
      now = e.fleet.now;
      rises = [];
      relay.drive(core.drive, core.leaseUntil, core.ending);
      const from = now;
      turns(from + 60_000);
      expect(rises.length, `${afterSec} s`).toBeGreaterThan(0);
      expect(rises.at(-1)! - from, `${afterSec} s`).toBeLessThanOrEqual(LOST_SEC * 1000);
      expect([level, gate]).toEqual([0, 0]);
      relay.drive(0, 0, Ending.All);
    }
  });

  it('R19 has a hardware timer in series that outlasts the longest permitted test by no more than an hour, and the drawing says so (AS 2293.1, V1; values CALC)', () => {
    expect(wiring).toMatch(/Three circuits in series hold the coil/);
    expect(wiring).toMatch(
      /\*\*Hardware timer\*\*: limits how long the relay can stay open, whatever the program or the pulse detector do/,
    );
    const longest = Limit.RatedSecMax + Limit.OpenGraceSec;
    expect(wiring).toContain(`with its grace time (${longest.toLocaleString('en')} s for 3 h)`);
    // The counter's own arithmetic; over tolerances it is simulated in tests/simulator/guards.
    const [ohm, farad] = [ratedValue(guardBoard, 'R11'), ratedValue(guardBoard, 'C2')];
    const nominal = 2 * Math.log(3) * ohm * farad * 8192;
    expect(wiring).toContain(`${ohm / 1000} kΩ and ${Math.round(farad * 1e9)} nF film`);
    expect(Math.abs(nominal - 11_900)).toBeLessThan(100);
    const { rows } = readPieces();
    const least = Math.floor(Math.min(...rows.map((one) => one.timerSec[0])) / 100) * 100;
    const most = Math.ceil(Math.max(...rows.map((one) => one.timerSec[1])) / 100) * 100;
    const simulated = `${least.toLocaleString('en')} to ${most.toLocaleString('en')} s`;
    expect(wiring).toContain(`after 8,192 periods of 2·ln 3·R·C: 11,900 s; simulated ${simulated}`);
    expect([LIMITS.timerSecMin, LIMITS.timerSecMax]).toEqual([longest, longest + 3540]);
    expect(wiring).toContain("press the hardware timer's button: mains must be back within 95 s");
  });
});

/** Every pin named anywhere in a board's wiring. */
function pinsOf(value: unknown): string[] {
  if (typeof value === 'string') return /^[A-H]\d+$/.test(value) ? [value] : [];
  return typeof value === 'object' && value !== null ? Object.values(value).flatMap(pinsOf) : [];
}

describe('what the board can switch', () => {
  it('R28 exactly one output of the program can act on a supply, and it is the coil in the permanent live (BS 5266-1, V2 restated, M)', async () => {
    // Outputs: the coil, the level that can only release it, and the red lamp. Converter and network have
    // pins of their own, which no board may share with any of these.
    const outputs = [...board.matchAll(/pinMode\((\w+), 'output'\)/g)].length;
    expect(outputs).toBe(3);
    const written = [...board.matchAll(/digitalWrite\((\w+),/g)].map((match) => match[1]);
    expect([...new Set(written)].sort()).toEqual(['enable', 'pin', 'redLamp']);
    expect(board).not.toMatch(/\b(analogWrite|digitalPulse|setWatch|\.write\(|\.set\(|\.reset\()\s*\(?pin/);
    expect(wiring).toContain(
      'The relay breaks the permanent live only. The switched live and the normal lamps are',
    );
    for (const one of await loadBoards()) {
      const all = pinsOf([one.pins, one.adc, one.spi]);
      expect(all.length).toBeGreaterThan(10);
      expect(new Set(all).size, one.name).toBe(all.length);
    }
  });

  it('R27 the drawing keeps a key switch in series after the relay, so that nobody has to operate a main isolator to test (Tyne & Wear FRS, V1)', () => {
    const steps = ['**sense A**', '**relay contact, closed at rest**', '**key switch**', '**sense B**'];
    const places = steps.map((step) => wiring.indexOf(step));
    expect(places.every((at) => at > 0)).toBe(true);
    expect(places).toEqual([...places].sort((a, b) => a - b));
    expect(wiring).toMatch(/from the \*\*local\*\* lighting circuit/);
  });
});
