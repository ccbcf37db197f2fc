// Journal and saved texts on the board's own flash file over the model of the interpreter's Storage, with the
// power failing at any word programmed and any page erased, and a flash that lies in between. A reader of the
// raw bytes and a log book say what became of every number.
import { crc32 } from 'node:zlib';
import { expect, it } from 'vitest';
import { intField } from '../../../firmware/contract/fields';
import { chainHash, hasValidSignature } from '../../../firmware/contract/signature';
import {
  acknowledge,
  appendRecord,
  isTurnDue,
  type Journal,
  mountJournal,
  nextToSend,
  resend,
  sentRecord,
  turnFile,
} from '../../../firmware/journal/journal';
import type { FlashPort } from '../../../firmware/ports';
import { sha256 } from '../../../simulator/digest';
import { PowerCut } from '../../../simulator/flash';
import { newRandom, nextUnit } from '../../../simulator/random';
import { startBoardFlash } from '../../support/boardFlash';
import { sizes } from '../../support/depth';
import { StorageModel } from '../../support/storage';
import { ADDRESS, KEY } from './mounted';

const PAGE_BYTES = 4096;
const JOURNAL_BYTES = 16_384;
const DATA_BYTES = PAGE_BYTES - 32 + 4 * PAGE_BYTES + 2 * JOURNAL_BYTES;
const PROGRAM = 'program '.repeat(200);

interface Faults {
  /** Shares of the calls that fail: a read gives nothing; a write is kept and reported as failed; or the opposite. */
  unread: number;
  denied: number;
  lost: number;
}

/** Everything that one controller and its log book live through. */
class Life {
  readonly storage: StorageModel;
  /** What the log book has, by number. */
  readonly book = new Map<number, string>();
  /** Records that were reported durable, by number. */
  private readonly durable = new Map<number, string>();
  /** Texts whose write was tried since the last start, by number. */
  private tried = new Map<number, string>();
  private saved = '';
  private saving = '';
  private flash!: FlashPort;
  private j!: Journal;
  turns = 0;
  cuts = 0;

  constructor(
    seed: number,
    private readonly faults: Faults,
  ) {
    const r = newRandom(seed);
    this.random = () => nextUnit(r);
    const unit = seed % 2 ? 256 : 4;
    this.storage = new StorageModel({
      bytes: 65_536,
      pageBytes: PAGE_BYTES,
      at: 4096,
      unit,
      random: this.random,
    });
    this.storage.write('np.dat', 'A', 0, DATA_BYTES);
    this.storage.write('np.cfg', '{}');
    this.storage.write('.bootcde', PROGRAM);
    this.start();
  }

  private readonly random: () => number;

  private whole(to: number): number {
    return Math.floor(this.random() * to);
  }

  private get isDead(): boolean {
    return this.storage.steps > this.storage.cutAt;
  }

  /** The flash as it is, and with its faults. */
  private flaky(port: FlashPort): FlashPort {
    const { unread, denied, lost } = this.faults;
    return {
      ...port,
      read: (file, offset, length) => (this.random() < unread ? '' : port.read(file, offset, length)),
      append: (file, offset, head, text) => {
        const number = intField(text, 'seq', 0);
        if (number > 0) {
          expect(this.tried.get(number) ?? text, 'one number, two texts in one run').toBe(text);
          this.tried.set(number, text);
        }
        if (this.random() < lost) return true;
        const done = port.append(file, offset, head, text);
        return done && this.random() >= denied;
      },
    };
  }

  /** The power is back: the interpreter looks at its storage, the program finds its journal. */
  start(): void {
    this.storage.cutAt = Number.POSITIVE_INFINITY;
    expect(this.storage.start(), 'the interpreter erased everything').toBe(false);
    expect([this.storage.read('.bootcde'), this.storage.read('np.cfg')]).toEqual([PROGRAM, '{}']);
    this.tried = new Map();
    let found: string[] = [];
    let journal: Journal | undefined;
    // A start that could not read all of it is repeated.
    for (let tries = 0; journal === undefined && tries < 100; tries++) {
      const board = startBoardFlash({ Storage: this.storage, Flash: this.storage.raw });
      board.setUpFlash(JOURNAL_BYTES, 4096);
      this.flash = this.flaky(board.boardFlash);
      found = [];
      const visit = (text: string): void => void found.push(text);
      journal = mountJournal(this.flash, KEY, ADDRESS, JOURNAL_BYTES, () => 'aaaa0001', visit);
    }
    this.j = journal as Journal;
    this.checkFound(found);
    this.checkRaw();
    const settings = startBoardFlash({ Storage: this.storage, Flash: this.storage.raw });
    settings.setUpFlash(JOURNAL_BYTES, 4096);
    const loaded = settings.boardFlash.load('np.set');
    expect([this.saved, this.saving]).toContain(loaded);
    this.saved = loaded;
  }

  /** One after another, none twice, and every durable one that the log book may still lack. */
  private checkFound(found: string[]): void {
    let before: string | undefined;
    for (const text of found) {
      expect(hasValidSignature(KEY, 'record', ADDRESS, text)).toBe(true);
      if (before !== undefined) {
        expect(intField(text, 'seq', 0)).toBe(intField(before, 'seq', 0) + 1);
        expect(text).toContain(`"prev":"${chainHash(sha256, before)}"`);
      }
      before = text;
    }
    const texts = new Map(found.map((text) => [intField(text, 'seq', 0), text]));
    for (const [number, text] of this.durable) {
      if (!this.book.has(number) || texts.has(number))
        expect(texts.get(number), `record ${number}`).toBe(text);
    }
  }

  /** What anyone finds who reads the bytes: every number with one text, the one the log book has. */
  private checkRaw(): void {
    const raw = this.storage.read('np.dat') as string;
    const seen = new Map<number, string>();
    for (let at = raw.indexOf('\n#'); at >= 0; at = raw.indexOf('\n#', at + 2)) {
      const text = raw.slice(at + 14, at + 14 + Number.parseInt(raw.slice(at + 2, at + 6), 16));
      const sum = crc32(Buffer.from(text, 'latin1')).toString(16).padStart(8, '0');
      const number = intField(text, 'seq', 0);
      if (sum !== raw.slice(at + 6, at + 14) || number === 0) continue;
      for (const other of [seen.get(number), this.book.get(number)])
        expect(other ?? text, `number ${number} has two texts`).toBe(text);
      seen.set(number, text);
    }
  }

  private write(): void {
    const queue = [`"kind":"x","fill":"${'f'.repeat(this.whole(700))}"`];
    for (let tries = 0; tries < 20 && !this.isDead; tries++) {
      const done = appendRecord(this.j, queue);
      if (this.isDead) return;
      if (done) {
        this.durable.set(this.j.last, queue[0]);
        return;
      }
      if (tries > 5) this.deliver();
    }
    // Given up only with the power: so ends this run.
    if (queue[0][0] === '{') this.storage.cutAt = this.storage.steps - 1;
  }

  /** The log book takes what is sent, and says how far it has everything. */
  private deliver(): void {
    resend(this.j);
    let last = 0;
    for (let n = 0; n < 60 && !this.isDead; n++) {
      const text = nextToSend(this.j);
      if (text === '') break;
      const number = intField(text, 'seq', 0);
      expect(number, 'sent out of turn, or twice').toBeGreaterThan(last);
      last = number;
      expect(this.book.get(number) ?? text, `number ${number} was sent with two texts`).toBe(text);
      this.book.set(number, text);
      sentRecord(this.j, text);
    }
    let through = 0;
    while (this.book.has(through + 1)) through++;
    acknowledge(this.j, this.j.id, through);
  }

  private act(): void {
    const what = this.whole(10);
    if (isTurnDue(this.j) && what > 2) {
      if (turnFile(this.j)) this.turns++;
    } else if (what < 6) this.write();
    else if (what < 9) this.deliver();
    else {
      this.saving = `{"n":${this.whole(1e6)},"fill":"${'s'.repeat(this.whole(1500))}"}`;
      if (this.flash.save('np.set', this.saving) && !this.isDead) this.saved = this.saving;
    }
  }

  /** Lives until the power fails, after a random number of steps, and starts again. */
  untilCut(): void {
    this.storage.cutAt = this.storage.steps + this.whole(this.random() < 0.5 ? 40 : 1500);
    try {
      while (!this.isDead) this.act();
    } catch (error) {
      if (!(error instanceof PowerCut)) throw error;
    }
    this.cuts++;
    this.start();
  }
}

const SOUND: Faults = { unread: 0, denied: 0, lost: 0 };
const LYING: Faults = { unread: 0.0005, denied: 0.05, lost: 0.05 };

/** @returns cuts, and changes of journal files, over many lives */
function live(cuts: number, faults: Faults): { cuts: number; turns: number } {
  const sum = { cuts: 0, turns: 0 };
  for (let seed = 1; sum.cuts < cuts; seed++) {
    const life = new Life(seed, faults);
    while (life.cuts < 250 && sum.cuts + life.cuts < cuts) life.untilCut();
    sum.cuts += life.cuts;
    sum.turns += life.turns;
    expect(life.storage.compactions).toBe(0);
  }
  return sum;
}

it('in random power cuts loses and doubles no record and gives no number twice', () => {
  const { cuts, turns } = live(sizes.powerCuts, SOUND);
  expect(cuts).toBe(sizes.powerCuts);
  expect(turns).toBeGreaterThan(cuts / 100);
});

it('in as many more does so on a flash that fails to read, keeps what it reports as failed, and loses what it reports as kept', () => {
  const { cuts, turns } = live(sizes.powerCuts, LYING);
  expect(cuts).toBe(sizes.powerCuts);
  expect(turns).toBeGreaterThan(cuts / 100);
});
