// The board's own flash file over a model of the interpreter's Storage, which tests/engine/storage.test.ts holds
// against the real one. The power may fail at every word that is programmed and every page that is erased.
import { beforeEach, describe, expect, it } from 'vitest';
import { PowerCut } from '../../../simulator/flash';
import { newRandom, nextUnit } from '../../../simulator/random';
import { type BoardFlash, startBoardFlash } from '../../support/boardFlash';
import { StorageModel } from '../../support/storage';

const AT = 0x320000;
const PAGE_BYTES = 4096;
const JOURNAL_BYTES = 8192;
/** As `commission` makes it: the rest of a page, four places for saved texts, two journal files. */
const DATA_BYTES = PAGE_BYTES - 32 + 4 * PAGE_BYTES + 2 * JOURNAL_BYTES;

let storage: StorageModel;
let board: BoardFlash;

function commissioned(seed = 1, bytes = 131_072): StorageModel {
  const r = newRandom(seed);
  const random = (): number => nextUnit(r);
  const model = new StorageModel({ bytes, pageBytes: PAGE_BYTES, at: AT, random, unit: seed % 2 ? 256 : 4 });
  model.write('np.dat', 'A', 0, DATA_BYTES);
  model.write('np.cfg', '{"address":"site/c1"}');
  model.write('.bootcde', 'x'.repeat(45_000));
  return model;
}

/** The program starts on what is in flash. */
function start(storageAt = AT): void {
  storage.cutAt = Number.POSITIVE_INFINITY;
  expect(storage.start(), 'the storage is broken').toBe(false);
  board = startBoardFlash({ Storage: storage, Flash: storage.raw });
  board.setUpFlash(JOURNAL_BYTES, storageAt);
}

/** Runs with the power failing at the given step from now on. @returns whether it failed */
function cut(step: number, work: () => void): boolean {
  storage.cutAt = storage.steps + step;
  try {
    work();
  } catch (error) {
    if (!(error instanceof PowerCut)) throw error;
  }
  return storage.steps > storage.cutAt;
}

beforeEach(() => {
  storage = commissioned();
  start();
});

const OLD = `{"revision":1,"lamps":"${'0,200,0,10800;'.repeat(3)}"}`;
const NEW = `{"revision":2,"lamps":"${'1,300,9,10800;'.repeat(4)}"}`;
const LONG = `{"revision":3,"slots":"${'1,1,1768093200,1768111200;'.repeat(140)}"}`;

describe('saved texts', () => {
  it('are found again after a start, each under its name', () => {
    expect([board.boardFlash.load('np.set'), board.boardFlash.load('np.plan')]).toEqual(['', '']);
    expect([board.boardFlash.save('np.set', OLD), board.boardFlash.save('np.plan', LONG)]).toEqual([
      true,
      true,
    ]);
    start();
    expect([board.boardFlash.load('np.set'), board.boardFlash.load('np.plan')]).toEqual([OLD, LONG]);
  });

  it('are replaced a thousand times without a new file, a new header or a compaction', () => {
    const chain = storage.image.subarray(0, 32).toString('latin1');
    const free = storage.getFree();
    for (let n = 0; n < 1000; n++) {
      const text = n % 3 ? `${n}${OLD}` : `${n}${LONG}`;
      expect(board.boardFlash.save(n % 2 ? 'np.set' : 'np.plan', text)).toBe(true);
      expect(board.boardFlash.load(n % 2 ? 'np.set' : 'np.plan')).toBe(text);
    }
    expect([storage.list(), storage.getFree(), storage.compactions]).toEqual([
      ['np.dat', 'np.cfg', '.bootcde'],
      free,
      0,
    ]);
    expect(storage.image.subarray(0, 32).toString('latin1')).toBe(chain);
  });

  it('survive a power cut at any step of a save: the old or the new text is there, and the next save works', () => {
    for (const before of [[], [LONG], [LONG, LONG], [OLD, LONG]]) {
      const seen = new Set<string>();
      for (let step = 0, failed = true; failed; step++) {
        storage = commissioned(step);
        start();
        for (const text of before) board.boardFlash.save('np.plan', text);
        board.boardFlash.save('np.plan', OLD);
        failed = cut(step, () => board.boardFlash.save('np.plan', NEW));
        start();
        const found = board.boardFlash.load('np.plan');
        expect([OLD, NEW]).toContain(found);
        seen.add(found);
        expect(board.boardFlash.save('np.plan', LONG)).toBe(true);
        expect(board.boardFlash.load('np.plan')).toBe(LONG);
      }
      expect(seen).toEqual(new Set([OLD, NEW]));
    }
  });

  it('are refused by cells that keep their bits, and the old text stays', () => {
    board.boardFlash.save('np.set', OLD);
    const write = storage.write.bind(storage);
    storage.write = (name, text, offset, size) =>
      write(name, text.replace('revision', 'revisioo'), offset, size);
    expect(board.boardFlash.save('np.set', NEW)).toBe(false);
    expect(board.boardFlash.load('np.set')).toBe(OLD);
    storage.write = write;
    expect(board.boardFlash.save('np.set', NEW)).toBe(true);
    expect(board.boardFlash.load('np.set')).toBe(NEW);
  });

  it('are refused when they are too long', () => {
    expect(board.boardFlash.save('np.set', 'x'.repeat(PAGE_BYTES - 15))).toBe(false);
    expect(board.boardFlash.save('np.set', 'x'.repeat(PAGE_BYTES - 16))).toBe(true);
  });
});

describe('a journal file', () => {
  it('is there from the first start on, and no byte of it is written twice or beyond its end', () => {
    const { append, read } = board.boardFlash;
    expect(read('np.j0', 0, 4)).toBe('\xff\xff\xff\xff');
    expect(append('np.j0', 0, 'head', 'more')).toBe(true);
    expect(append('np.j0', 6, 'x', 'x')).toBe(false);
    expect(append('np.j0', JOURNAL_BYTES - 2, 'x', 'xx')).toBe(false);
    expect(append('np.j1', 0, 'other', '')).toBe(true);
    expect([read('np.j0', 0, 9), read('np.j1', 0, 5)]).toEqual(['headmore\xff', 'other']);
    expect(read('np.j0', JOURNAL_BYTES - 3, 9)).toHaveLength(3);
  });

  it('is erased a page a call, and nothing beside it', () => {
    const { append, read, erase, save, load } = board.boardFlash;
    save('np.plan', OLD);
    append('np.j0', 0, 'zero', '');
    append('np.j1', 0, 'one', '');
    append('np.j0', PAGE_BYTES, 'second', '');
    expect(erase('np.j0', JOURNAL_BYTES)).toBe(false);
    expect([read('np.j0', 0, 4), read('np.j0', PAGE_BYTES, 6)]).toEqual(['\xff\xff\xff\xff', 'second']);
    expect(erase('np.j0', JOURNAL_BYTES)).toBe(true);
    expect(read('np.j0', PAGE_BYTES, 6)).toBe('\xff'.repeat(6));
    expect([read('np.j1', 0, 3), load('np.plan'), storage.read('np.cfg')]).toEqual([
      ...['one', OLD],
      '{"address":"site/c1"}',
    ]);
  });

  it('is not erased where the file of all was not made as the first, and settings still have two places', () => {
    storage = new StorageModel({ bytes: 131_072, pageBytes: PAGE_BYTES, at: AT });
    storage.write('.bootcde', 'x'.repeat(45_000));
    start();
    const { append, erase, save, load } = board.boardFlash;
    expect(storage.list()).toEqual(['.bootcde', 'np.dat']);
    expect(erase('np.j0', JOURNAL_BYTES)).toBe(true);
    append('np.j0', 0, 'full', '');
    expect(erase('np.j0', JOURNAL_BYTES)).toBe(false);
    expect([save('np.set', OLD), load('np.set')]).toEqual([true, OLD]);
  });

  it('is not made where the interpreter would have to compact first', () => {
    storage = new StorageModel({ bytes: 65_536, pageBytes: PAGE_BYTES, at: AT });
    storage.write('.bootcde', 'x'.repeat(45_000));
    storage.erase('.bootcde');
    start();
    expect([storage.list(), storage.compactions]).toEqual([[], 0]);
    expect([board.boardFlash.erase('np.j0', JOURNAL_BYTES), board.boardFlash.read('np.j0', 0, 4)]).toEqual([
      false,
      '',
    ]);
  });

  it('has a new count for every journal that is begun, also after the journals were erased', () => {
    expect([board.countJournal(), board.countJournal()]).toEqual([0, 1]);
    start();
    for (let page = 1; page * PAGE_BYTES < DATA_BYTES; page++) storage.raw.erasePage(AT + page * PAGE_BYTES);
    expect(board.countJournal()).toBe(2);
    cut(0, () => board.countJournal());
    start();
    expect(board.countJournal()).toBeGreaterThanOrEqual(3);
  });
});
