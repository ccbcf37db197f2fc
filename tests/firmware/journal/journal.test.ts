import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Limit } from '../../../firmware/contract/limits';
import { chainHash, hasValidSignature } from '../../../firmware/contract/signature';
import { crc32, crcHex, useOwnCrcHex } from '../../../firmware/journal/crc32';
import {
  acknowledge,
  appendRecord,
  fileName,
  hasRoom,
  isTurnDue,
  type Journal,
  mountJournal,
  nextToSend,
  resend,
  sendAgain,
  sentRecord,
  turnFile,
} from '../../../firmware/journal/journal';
import { sha256 } from '../../../simulator/digest';
import { PowerCut, SimulatedFlash } from '../../../simulator/flash';
import { ADDRESS, KEY, mount, SMALL } from './mounted';

const body = (n: number, filler = 40): string => `"kind":"x","n":${n},"fill":"${'f'.repeat(filler)}"`;

/** Everything waiting to be sent, taken as sent. */
function sendAll(j: Journal): string[] {
  const sent: string[] = [];
  for (let text = nextToSend(j); text !== ''; text = nextToSend(j)) {
    sent.push(text);
    sentRecord(j, text);
  }
  return sent;
}

/** Checks each record's signature, that numbers have no gap, and the chain from one to the next. */
function checkChain(texts: string[]): void {
  let before: { seq: number; text: string } | undefined;
  for (const text of texts) {
    expect(hasValidSignature(KEY, 'record', ADDRESS, text)).toBe(true);
    const r = JSON.parse(text) as { seq: number; prev: string };
    if (before) {
      expect(r.seq).toBe(before.seq + 1);
      expect(r.prev).toBe(chainHash(sha256, before.text));
    }
    before = { seq: r.seq, text };
  }
}

// A simulator loaded before brings its own.
useOwnCrcHex(undefined);

describe('CRC-32', () => {
  it('has the published check value (ISO 3309 / ITU-T V.42: CBF43926 for "123456789")', () => {
    expect(crc32('123456789')).toBe(0xcbf43926);
    expect(crcHex('123456789')).toBe('cbf43926');
    expect(crcHex('')).toBe('00000000');
  });

  it('matches a bit-by-bit division by the polynomial 04C11DB7, reflected', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 100 }), (bytes) => {
        let rest = 0xffffffff;
        for (const byte of bytes)
          for (let bit = 0; bit < 8; bit++)
            rest = ((rest ^ (byte >> bit)) & 1 ? 0xedb88320 : 0) ^ (rest >>> 1);
        expect(crc32(Buffer.from(bytes).toString('latin1'))).toBe(~rest >>> 0);
      }),
    );
  });
});

describe('a journal', () => {
  it('returns after a start what was written before it, oldest first and chained', () => {
    const flash = new SimulatedFlash();
    const { j } = mount(flash);
    for (let n = 1; n <= 5; n++) expect(appendRecord(j, [body(n)])).toBe(true);
    const again = mount(flash, SMALL, 'bbbb0002');
    expect(again.found.map((text) => JSON.parse(text).n)).toEqual([1, 2, 3, 4, 5]);
    expect([again.j.id, again.j.last, again.j.prev]).toEqual(['aaaa0001', 5, j.prev]);
    checkChain(again.found);
  });

  it('refuses a record that is too long without harming the next', () => {
    const { j } = mount(new SimulatedFlash(), 16_384);
    expect(appendRecord(j, [body(1, Limit.RecordBytes)])).toBe(false);
    expect(appendRecord(j, [body(2)])).toBe(true);
    expect(j.last).toBe(1);
  });

  it('sends each record once, oldest first, until it is asked to send again', () => {
    const { j } = mount(new SimulatedFlash());
    for (let n = 1; n <= 3; n++) appendRecord(j, [body(n)]);
    expect(sendAll(j)).toHaveLength(3);
    expect(sendAll(j)).toEqual([]);
    acknowledge(j, j.id, 2);
    resend(j);
    expect(sendAll(j).map((text) => JSON.parse(text).seq)).toEqual([3]);
    acknowledge(j, j.id, 3);
    resend(j);
    expect(sendAll(j)).toEqual([]);
  });

  it('stays in step when a broker confirms a record after its file was erased', () => {
    const { j } = mount(new SimulatedFlash());
    let n = 0;
    while (j.generation === 1) appendRecord(j, [body(++n)]);
    const late = nextToSend(j);
    expect(JSON.parse(late).seq).toBe(1);
    acknowledge(j, j.id, j.olderLast);
    while (j.generation === 2) appendRecord(j, [body(++n)]);
    sentRecord(j, late);
    expect(sendAll(j).map((text) => JSON.parse(text).seq)).toEqual(
      Array.from({ length: j.last - j.acked }, (_, i) => j.acked + 1 + i),
    );
  });

  it('accepts an acknowledgement only for this journal, for records it has, and never backwards', () => {
    const { j } = mount(new SimulatedFlash());
    for (let n = 1; n <= 3; n++) appendRecord(j, [body(n)]);
    expect(acknowledge(j, 'ffff0000', 3)).toBe(false);
    expect(acknowledge(j, j.id, 4)).toBe(false);
    expect(acknowledge(j, j.id, 2)).toBe(true);
    expect(acknowledge(j, j.id, 2)).toBe(false);
    expect(acknowledge(j, j.id, 1)).toBe(false);
    expect(j.acked).toBe(2);
  });

  it('switches to the other file only when everything in that file is acknowledged', () => {
    const { j } = mount(new SimulatedFlash(), 16_384);
    let n = 0;
    while (appendRecord(j, [body(++n)])) expect(n).toBeLessThan(200);
    const full = j.last;
    expect([hasRoom(j), isTurnDue(j)]).toEqual([false, false]);
    expect(sendAll(j)).toHaveLength(full);
    acknowledge(j, j.id, j.olderLast - 1);
    expect(appendRecord(j, [body(n)])).toBe(false);
    acknowledge(j, j.id, j.olderLast);
    expect([hasRoom(j), isTurnDue(j)]).toEqual([false, true]);
    expect(appendRecord(j, [body(n)])).toBe(true);
    expect([j.last, hasRoom(j), isTurnDue(j)]).toEqual([full + 1, true, false]);
  });

  it('loses nothing over many switches, with a log book that catches up now and then', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 400 }), { minLength: 1, maxLength: 60 }), (fillers) => {
        const flash = new SimulatedFlash();
        let { j } = mount(flash);
        const logbook: string[] = [];
        const take = (texts: string[]) => {
          for (const text of texts) if (JSON.parse(text).seq === logbook.length + 1) logbook.push(text);
          acknowledge(j, j.id, logbook.length);
        };
        fillers.forEach((filler, i) => {
          if (!appendRecord(j, [body(i, filler)])) {
            resend(j);
            take(sendAll(j));
            expect(appendRecord(j, [body(i, filler)])).toBe(true);
          }
          if (filler % 7 === 0) take(sendAll(j));
          if (filler % 11 === 0) j = mount(flash).j;
        });
        resend(j);
        take(sendAll(j));
        expect(logbook).toHaveLength(fillers.length);
        checkChain(logbook);
      }),
    );
  });

  it('gives a log book that was put back everything it keeps, from its files and after a start', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.nat(400), fc.nat(8), fc.boolean()), { minLength: 1, maxLength: 60 }),
        (steps) => {
          const flash = new SimulatedFlash();
          let { j } = mount(flash);
          let logbook: string[] = [];
          const take = () => {
            for (const text of sendAll(j))
              if (JSON.parse(text).seq === logbook.length + 1) logbook.push(text);
            acknowledge(j, j.id, logbook.length);
          };
          for (const [filler, lost, isStart] of steps) {
            if (!appendRecord(j, [body(1, filler)])) {
              resend(j);
              take();
              expect(appendRecord(j, [body(1, filler)])).toBe(true);
            }
            if (filler % 5 === 0) take();
            if (filler % 7 !== 0) continue;
            // What its files hold, as a start reads it.
            const kept = mount(flash).found.map((text) => JSON.parse(text).seq as number);
            expect(kept).toContain(j.last);
            logbook = logbook.slice(0, Math.max(kept[0] - 1, logbook.length - lost));
            if (isStart) j = mount(flash).j;
            else sendAgain(j);
            expect(j.acked).toBeLessThan(kept[0]);
            take();
            expect(logbook).toHaveLength(j.last);
            expect(j.acked).toBe(j.last);
            checkChain(logbook);
          }
        },
      ),
    );
  });

  it('does not take back more than the log book has, if the next file was begun in vain', () => {
    const flash = new SimulatedFlash();
    const { j } = mount(flash);
    let n = 0;
    while (j.generation === 1) appendRecord(j, [body(++n)]);
    acknowledge(j, j.id, j.olderLast);
    const acked = j.acked;
    while (hasRoom(j)) appendRecord(j, [body(++n)]);
    // The header of the next file is kept by the flash, but reads back wrong this once.
    const { read } = flash;
    flash.read = (name, offset, length) =>
      offset === 0 && name === fileName(1 - j.file) ? '' : read.call(flash, name, offset, length);
    expect(turnFile(j)).toBe(false);
    flash.read = read;
    sendAgain(j);
    expect(j.acked).toBe(acked);
    expect(sendAll(j).map((text) => JSON.parse(text).seq)).toEqual(
      Array.from({ length: j.last - acked }, (_, i) => acked + 1 + i),
    );
  });

  it('does not mount on flash that can be neither read nor written', () => {
    const flash = new SimulatedFlash();
    flash.worn = true;
    expect(
      mountJournal(
        flash,
        KEY,
        ADDRESS,
        SMALL,
        () => 'aaaa0001',
        () => {},
      ),
    ).toBeUndefined();
  });

  it('continues where it was when worn flash recovers, and finds everything again', () => {
    const flash = new SimulatedFlash();
    const { j } = mount(flash);
    appendRecord(j, [body(1)]);
    flash.worn = true;
    for (let i = 0; i < 3; i++) expect(appendRecord(j, [body(2)])).toBe(false);
    expect(j.last).toBe(1);
    flash.worn = false;
    expect(appendRecord(j, [body(2)])).toBe(true);
    expect(sendAll(j)).toHaveLength(2);
    const again = mount(flash);
    expect(again.found.map((text) => JSON.parse(text).n)).toEqual([1, 2]);
    checkChain(again.found);
  });

  it('builds the text of a record that could not be written only once, and writes that same text later', () => {
    const flash = new SimulatedFlash();
    const { j } = mount(flash);
    const queue = [body(1)];
    flash.worn = true;
    expect(appendRecord(j, queue)).toBe(false);
    const [text] = queue;
    expect(hasValidSignature(KEY, 'record', ADDRESS, text)).toBe(true);
    expect(appendRecord(j, queue)).toBe(false);
    expect(queue).toEqual([text]);
    flash.worn = false;
    expect(appendRecord(j, queue)).toBe(true);
    expect(mount(flash).found).toEqual([text]);
  });

  it('does not count a record that reads back differently', () => {
    const flash = new SimulatedFlash();
    const { j } = mount(flash);
    appendRecord(j, [body(1)]);
    const write = flash.append.bind(flash);
    flash.append = (file, offset, head, text) => write(file, offset, head, `${text.slice(0, -3)}xx}`);
    expect(appendRecord(j, [body(2)])).toBe(false);
    flash.append = write;
    expect(appendRecord(j, [body(3)])).toBe(true);
    const again = mount(flash);
    expect(again.found.map((text) => JSON.parse(text).n)).toEqual([1, 3]);
    checkChain(again.found);
  });
});

/** Writes records until `stop` bytes are in flash, when the power fails. @returns what was durable. */
function writeUntilCut(
  flash: SimulatedFlash,
  stop: number,
): { durable: string[]; acked: number; cut: boolean } {
  const durable: string[] = [];
  let acked = 0;
  flash.bytesUntilCut = stop;
  try {
    const { j } = mount(flash, 700);
    for (let n = 1; n <= 8; n++) {
      if (!appendRecord(j, [body(n, 30)])) throw new Error('No room.');
      durable.push(...sendAll(j));
      if (n % 2 === 0) {
        acknowledge(j, j.id, j.last);
        acked = j.last;
      }
    }
    return { durable, acked, cut: false };
  } catch (error) {
    if (!(error instanceof PowerCut)) throw error;
    return { durable, acked, cut: true };
  } finally {
    flash.bytesUntilCut = Number.POSITIVE_INFINITY;
  }
}

describe('a power cut', () => {
  const whole = new SimulatedFlash();
  writeUntilCut(whole, Number.POSITIVE_INFINITY);

  it('at any byte of any write loses no durable record, keeps the chain, and lets the journal continue', () => {
    expect(whole.bytesWritten).toBeGreaterThan(1600);
    for (let stop = 0; stop <= whole.bytesWritten; stop++) {
      const flash = new SimulatedFlash();
      const { durable, acked, cut } = writeUntilCut(flash, stop);
      expect(cut).toBe(stop < whole.bytesWritten);
      const { j, found } = mount(flash, 700, 'bbbb0002');
      // The erased file may be gone, but only with records the log book already had.
      const logbook = durable.slice(0, acked);
      const first = found.length > 0 ? (JSON.parse(found[0]).seq as number) : acked + 1;
      expect(first).toBeLessThanOrEqual(acked + 1);
      const kept = [...durable.slice(0, first - 1), ...found];
      expect(kept.slice(0, durable.length)).toEqual(durable);
      expect(kept.length - durable.length).toBeLessThanOrEqual(1);
      acknowledge(j, j.id, logbook.length);
      if (!appendRecord(j, [body(90)])) {
        acknowledge(j, j.id, j.last);
        expect(appendRecord(j, [body(90)])).toBe(true);
      }
      resend(j);
      const all = [...kept, ...sendAll(j).slice(-1)];
      expect(JSON.parse(all[all.length - 1]).n).toBe(90);
      checkChain(all);
    }
  });

  it('repeated at random bytes never forks the journal', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 900 }), { minLength: 1, maxLength: 12 }), (cuts) => {
        const flash = new SimulatedFlash();
        const logbook: string[] = [];
        let id = '';
        for (const stop of [...cuts, Number.POSITIVE_INFINITY]) {
          flash.bytesUntilCut = stop;
          try {
            const { j } = mount(flash, 700, 'aaaa0001');
            if (logbook.length > 0) expect(j.id).toBe(id);
            id = j.id;
            acknowledge(j, j.id, logbook.length);
            for (let n = 0; n < 4; n++) {
              for (const text of sendAll(j))
                if (JSON.parse(text).seq === logbook.length + 1) logbook.push(text);
              acknowledge(j, j.id, logbook.length);
              expect(appendRecord(j, [body(n, 30)])).toBe(true);
            }
          } catch (error) {
            if (!(error instanceof PowerCut)) throw error;
          }
        }
        checkChain(logbook);
      }),
    );
  });
});
