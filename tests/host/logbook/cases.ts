// What every engine of the log book must do. A file with one call runs these cases on an engine.
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { entryHash } from '../../../host/logbook/chain';
import type { Appended, Logbook, NewRecord } from '../../../host/logbook/logbook';
import { KEYS, newJournal } from './records';
import { treeCases } from './treeCases';

/** Where the log book of one case is kept. */
export interface Place {
  /** Opens it; a persistent one can be opened again, and several times at once. */
  open(): Promise<Logbook>;
  remove(): Promise<void>;
}

export interface Engine {
  name: string;
  /** True if what is written is there when it is opened again. */
  isKept: boolean;
  /** An empty place. */
  place(): Promise<Place>;
}

const outcomes = (results: Appended[]): string[] => results.map(({ outcome }) => outcome);

export function logbookCases(engine: Engine): void {
  describe(engine.name, () => {
    holds(engine);
    describe('tree', () => treeCases(engine));
  });
}

function holds(engine: Engine): void {
  // What an engine in memory forgets at its end cannot be asked of it.
  const keptIt = (title: string, test: () => Promise<void>): void => {
    if (engine.isKept) it(title, test);
  };
  let place: Place;
  beforeEach(async () => {
    place = await engine.place();
  });
  afterEach(() => place.remove());

  describe('storing', () => {
    it('stores a record once and recognises the second copy as a duplicate', async () => {
      const logbook = await place.open();
      const record = newJournal('demo/a').record();
      expect(outcomes(await logbook.appendBatch([record, record]))).toEqual(['stored', 'duplicate']);
      expect(outcomes(await logbook.appendBatch([record]))).toEqual(['duplicate']);
      expect(await logbook.entries()).toBe(1);
      await logbook.close();
    });

    it('keeps the first of two different records under one number, and the second as evidence', async () => {
      const logbook = await place.open();
      const record = newJournal('demo/a').record();
      const other = newJournal('demo/a').record('intent', { plan: 1, test: 3, type: 1 });
      expect(outcomes(await logbook.appendBatch([record, other, other]))).toEqual([
        'stored',
        'conflict',
        'conflict',
      ]);
      expect((await logbook.page({ limit: 10, kind: 'start' })).map((e) => e.body)).toEqual([record.body]);
      expect((await logbook.evidence(10)).map((e) => e.body)).toEqual([other.body]);
      const [kept] = await logbook.page({ limit: 1 });
      expect(kept).toMatchObject({ entry: 2, address: 'demo/a', journal: 'kept', seq: 1, at: other.at });
      expect(JSON.parse(kept.body)).toMatchObject({ of: '0a1b2c3d 1', text: other.body });
      await logbook.close();
    });

    it('advances only without a gap, whatever the order of arrival', async () => {
      const logbook = await place.open();
      const journal = newJournal('demo/a');
      const [one, two, three, four] = [1, 2, 3, 4].map(() => journal.record());
      const throughs = async (...records: NewRecord[]) =>
        (await logbook.appendBatch(records)).map(({ through }) => through);
      expect(await throughs(three)).toEqual([0]);
      expect(await logbook.through('demo/a', '0a1b2c3d')).toBe(0);
      expect(await logbook.lastOf('demo/a', '0a1b2c3d')).toBe(3);
      expect(await throughs(one)).toEqual([1]);
      expect(await logbook.through('demo/a', '0a1b2c3d')).toBe(1);
      expect(await logbook.through('demo/a', '0a1b2c3d', 2)).toBe(3);
      expect(await throughs(four, two, one)).toEqual([1, 4, 4]);
      expect(await logbook.through('demo/a', '0a1b2c3d')).toBe(4);
      expect(await logbook.evidenceCount()).toBe(0);
      expect(await logbook.verify(KEYS)).toMatchObject({ valid: true, entries: 4 });
      await logbook.close();
    });

    it('stores a record that does not follow the previous one, and flags it', async () => {
      const logbook = await place.open();
      const journal = newJournal('demo/a');
      const stranger = newJournal('demo/a');
      stranger.record('intent', { plan: 1, test: 3, type: 1 });
      expect(outcomes(await logbook.appendBatch([journal.record(), stranger.record()]))).toEqual([
        'stored',
        'stored',
      ]);
      expect(await logbook.evidence(10)).toMatchObject([{ seq: 2, address: 'demo/a' }]);
      // The controller's own doing, said when it came: the log book is whole.
      const found = await logbook.verify(KEYS);
      expect(found).toMatchObject({ valid: true, faults: [{ part: 'controller', entry: 2, said: true }] });
      await logbook.close();
    });

    keptIt('keeps everything across a restart, including records out of order', async () => {
      const journal = newJournal('demo/a');
      const [one, two, three] = [1, 2, 3].map(() => journal.record());
      const before = await place.open();
      await before.appendBatch([three, one]);
      await before.close();
      const after = await place.open();
      expect(await after.through('demo/a', '0a1b2c3d')).toBe(1);
      expect(outcomes(await after.appendBatch([two, three]))).toEqual(['stored', 'duplicate']);
      expect(await after.through('demo/a', '0a1b2c3d')).toBe(3);
      expect((await after.verify(KEYS)).valid).toBe(true);
      await after.close();
    });

    it('chains its entries so that anyone can recompute them with SHA-256 alone', async () => {
      const logbook = await place.open();
      const journal = newJournal('demo/a');
      const made = await logbook.appendBatch([journal.record(), journal.record()]);
      const [one, two] = await logbook.after(0, 10);
      expect(made).toEqual([one, two].map((entry) => ({ outcome: 'stored', entry, through: entry.seq })));
      expect(one.hash).toBe(entryHash('0'.repeat(64), 'demo/a', one.body));
      expect(two.hash).toBe(entryHash(one.hash, 'demo/a', two.body));
      expect(await logbook.verify()).toMatchObject({ valid: true, finalHash: two.hash });
      await logbook.close();
    });

    keptIt('continues correctly after another process has written to the same file', async () => {
      const one = await place.open();
      const two = await place.open();
      const journal = newJournal('demo/a');
      const records = [1, 2, 3, 4].map(() => journal.record());
      await one.appendBatch([records[0]]);
      await two.appendBatch([records[1]]);
      expect(outcomes(await one.appendBatch([records[1], records[2]]))).toEqual(['duplicate', 'stored']);
      expect(outcomes(await two.appendBatch([records[3]]))).toEqual(['stored']);
      expect(await two.verify(KEYS)).toMatchObject({ valid: true, entries: 4 });
      await one.close();
      await two.close();
    });
  });

  describe('reading', () => {
    it('gives pages newest first, by circuit and by kind', async () => {
      const logbook = await place.open();
      const [a, b] = [newJournal('demo/a'), newJournal('demo/b')];
      await logbook.appendBatch([
        a.record(),
        b.record(),
        a.record('held', { reason: 23, arg: 0 }),
        b.record(),
      ]);
      const numbers = async (filter: object) =>
        (await logbook.page({ limit: 10, ...filter })).map((e) => e.entry);
      expect(await numbers({})).toEqual([4, 3, 2, 1]);
      expect(await numbers({ limit: 2 })).toEqual([4, 3]);
      expect(await numbers({ before: 3 })).toEqual([2, 1]);
      expect(await numbers({ address: 'demo/a' })).toEqual([3, 1]);
      expect(await numbers({ address: 'demo/a', kind: 'held' })).toEqual([3]);
      expect(await numbers({ address: 'demo/nobody' })).toEqual([]);
      expect(await logbook.total({ address: 'demo/b' })).toBe(2);
      await logbook.close();
    });

    keptIt('numbers orders upwards even if the clock is set back', async () => {
      const first = await place.open();
      const order = { address: 'demo/a', do: 1, arg: 0, who: 'Anna' };
      const one = await first.orders.take({ ...order, at: 1780000000 });
      await first.close();
      const second = await place.open();
      const two = await second.orders.take({ ...order, at: 1700000000 });
      expect(two).toBeGreaterThan(one);
      await second.orders.answer('demo/a', two, 'done', 1700000060);
      expect(await second.orders.recent(1)).toMatchObject([{ counter: one }]);
      expect((await second.orders.recent(2))[1]).toMatchObject({ counter: two, who: 'Anna', answer: 'done' });
      await second.close();
    });

    it('stores small texts', async () => {
      const logbook = await place.open();
      expect(await logbook.memory.all()).toEqual(new Map());
      await logbook.memory.remember('plan', 'one');
      await logbook.memory.remember('plan', 'two');
      expect([...(await logbook.memory.all())]).toEqual([['plan', 'two']]);
      await logbook.memory.rememberAll(
        new Map([
          ['plan', 'three'],
          ['heard', 'ä, 3½ h'],
        ]),
      );
      expect(await logbook.memory.all()).toEqual(
        new Map([
          ['plan', 'three'],
          ['heard', 'ä, 3½ h'],
        ]),
      );
      await logbook.memory.rememberAll(new Map());
      await logbook.close();
    });

    it('writes the next records of many journals at once, or none', async () => {
      const logbook = await place.open();
      const next = (address: string, body = '') => ({
        ...{ address, journal: 'host' },
        write(seq: number, prev: string) {
          if (body === 'broken') throw new Error('no text');
          return { kind: 'note', test: 0, at: 1780000000 + seq, body: `{"seq":${seq},"prev":"${prev}"}` };
        },
      });
      const [first, second, third] = await logbook.appendNextAll([
        ...[next('demo/a/host'), next('demo/b/host'), next('demo/a/host')],
      ]);
      expect([first, second, third].map(({ entry, address, seq }) => [entry, address, seq])).toEqual([
        [1, 'demo/a/host', 1],
        [2, 'demo/b/host', 1],
        [3, 'demo/a/host', 2],
      ]);
      expect(await logbook.after(0, 9)).toEqual([first, second, third]);
      const broken = [next('demo/a/host'), next('demo/b/host', 'broken')];
      await expect(logbook.appendNextAll(broken)).rejects.toThrow('no text');
      expect(await logbook.entries()).toBe(3);
      expect((await logbook.appendNextAll([next('demo/a/host')]))[0]).toMatchObject({ entry: 4, seq: 3 });
      await logbook.close();
    });
  });

  describe('verifying', () => {
    it('names a gap in what a controller wrote', async () => {
      const logbook = await place.open();
      const journal = newJournal('demo/a');
      const records = [1, 2, 3, 4].map(() => journal.record());
      await logbook.appendBatch([records[0], records[1], records[3]]);
      expect((await logbook.verify(KEYS)).broken).toEqual({
        part: 'controller',
        entry: 3,
        why: 'The log book lacks record 3 of journal 0a1b2c3d of demo/a, which comes before entry 3.',
      });
      await logbook.close();
    });
  });
}
