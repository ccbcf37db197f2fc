// The board's own flash file over a model of the interpreter's Storage as we found it to behave: replacing a
// file erases and rewrites it, bytes once written cannot be written again, and the power may fail at any
// byte.
import Module from 'node:module';
import { afterAll, beforeEach, expect, it } from 'vitest';
import type { FlashPort } from '../../../firmware/ports';
import { PowerCut } from '../../../simulator/flash';

const files = new Map<string, string>();
/** Bytes and erasures left until the power fails. */
let left = Number.POSITIVE_INFINITY;
let spent = 0;
/** What happens to bytes on their way into the cells: worn cells keep some of their old bits. */
let wear: (text: string) => string = (text) => text;

function spend(steps: number): number {
  const done = Math.min(steps, left);
  left -= done;
  spent += done;
  return done;
}

function put(name: string, data: string, offset: number): void {
  const old = files.get(name) ?? '';
  const room = old.slice(offset, offset + data.length);
  if (room.length < data.length) throw new Error('Too much data for file size');
  if (/[^\xff]/.test(room)) throw new Error('File already written with different data');
  const done = spend(data.length);
  const kept = wear(data).slice(0, done);
  files.set(name, old.slice(0, offset) + kept + old.slice(offset + done));
  if (done < data.length) throw new PowerCut('power cut');
}

const storage = {
  read: (name: string, offset = 0, length?: number) =>
    files.get(name)?.slice(offset, length === undefined ? undefined : offset + length),
  write(name: string, data: string, offset = 0, size = data.length) {
    if (offset === 0) {
      if (spend(1) === 0) throw new PowerCut('power cut');
      files.set(name, '\xff'.repeat(size));
    }
    put(name, data, offset);
    return true;
  },
  erase(name: string) {
    if (spend(1) === 0) throw new PowerCut('power cut');
    files.delete(name);
  },
  getFree: () => 1_000_000,
  compact: () => {},
};

/** The loader behind `require`, which knows no module of that name. */
const loader = Module as unknown as { _load(name: string, ...rest: unknown[]): unknown };
const load = loader._load;
loader._load = (name, ...rest) => (name === 'Storage' ? storage : load(name, ...rest));
const names = globalThis as unknown as { E: unknown };
names.E = {};
afterAll(() => {
  loader._load = load;
  names.E = undefined;
});

/** Loaded by a path the compiler does not follow: the interpreter's types clash with Node's. */
const FILE = new URL('../../../firmware/board/flash.ts', import.meta.url).href;
const { boardFlash, setUpFlash } = (await import(FILE)) as {
  boardFlash: FlashPort;
  setUpFlash(bytes: number): void;
};

beforeEach(() => {
  files.clear();
  left = Number.POSITIVE_INFINITY;
  spent = 0;
  wear = (text) => text;
  setUpFlash(4096);
});

const OLD = `{"revision":1,"lamps":"${'0,200,0,10800;'.repeat(3)}"}`;
const NEW = `{"revision":2,"lamps":"${'1,300,9,10800;'.repeat(4)}"}`;

/** Saves with the power failing after `steps`. @returns whether it failed. */
function saveUntil(steps: number, text: string): boolean {
  left = steps;
  try {
    boardFlash.save('np.set', text);
    // The board file treats every failure as one of the flash; without power nothing more happens.
    return left === 0;
  } finally {
    left = Number.POSITIVE_INFINITY;
  }
}

it('a power cut at any byte of a save leaves the old or the new settings intact, and the next save works', () => {
  boardFlash.save('np.set', OLD);
  const from = spent;
  boardFlash.save('np.set', NEW);
  const steps = spent - from;
  expect(steps).toBeGreaterThan(NEW.length);
  const seen = new Set<string>();
  for (let stop = 0; stop < steps; stop++) {
    files.clear();
    boardFlash.save('np.set', OLD);
    expect(saveUntil(stop, NEW)).toBe(true);
    const found = boardFlash.load('np.set');
    expect([OLD, NEW]).toContain(found);
    seen.add(found);
    expect(boardFlash.save('np.set', NEW)).toBe(true);
    expect(boardFlash.load('np.set')).toBe(NEW);
    expect(boardFlash.save('np.set', OLD)).toBe(true);
    expect(boardFlash.load('np.set')).toBe(OLD);
  }
  expect(seen).toEqual(new Set([OLD, NEW]));
});

it('a first save that is cut short leaves nothing that reads as settings', () => {
  boardFlash.save('np.set', OLD);
  const steps = spent;
  for (let stop = 0; stop < steps - 1; stop++) {
    files.clear();
    saveUntil(stop, OLD);
    expect(['', OLD]).toContain(boardFlash.load('np.set'));
  }
});

it('a save into worn cells that keep their bits is refused, and the old settings stay', () => {
  boardFlash.save('np.set', OLD);
  wear = (text) => text.replace('revision', 'revisioo');
  expect(boardFlash.save('np.set', NEW)).toBe(false);
  expect(boardFlash.load('np.set')).toBe(OLD);
  wear = (text) => text;
  expect(boardFlash.save('np.set', NEW)).toBe(true);
  expect(boardFlash.load('np.set')).toBe(NEW);
});

it('a journal file is created whole at once, and no byte of it can be written twice', () => {
  setUpFlash(64);
  expect(boardFlash.size('np.j0')).toBe(0);
  expect(boardFlash.create('np.j0', 'head', 64)).toBe(true);
  expect(boardFlash.size('np.j0')).toBe(64);
  expect(boardFlash.append('np.j0', 4, 'mo', 're')).toBe(true);
  expect(boardFlash.append('np.j0', 6, 'x', 'x')).toBe(false);
  expect(boardFlash.append('np.j0', 62, 'x', 'xx')).toBe(false);
  expect(boardFlash.read('np.j0', 0, 9)).toBe('headmore\xff');
});
