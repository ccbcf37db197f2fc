import { expect, it } from 'vitest';
import { hasValidSignature } from '../../../firmware/contract/signature';
import {
  acknowledge,
  appendRecord,
  type Journal,
  nextToSend,
  resend,
  sentRecord,
  turnFile,
} from '../../../firmware/journal/journal';
import { SimulatedFlash } from '../../../simulator/flash';
import { ADDRESS, KEY, mount as mountAny, SMALL } from './mounted';

const body = (n: number): string => `"kind":"x","n":${n},"fill":"${'f'.repeat(40)}"`;

function mount(flash: SimulatedFlash): { j: Journal; found: number[] } {
  const { j, found } = mountAny(flash);
  for (const text of found) expect(hasValidSignature(KEY, 'record', ADDRESS, text)).toBe(true);
  return { j, found: found.map((text) => JSON.parse(text).n) };
}

it('worn cells that keep a bit in the free space cost the record written there, not those after it', () => {
  const flash = new SimulatedFlash();
  const { j } = mount(flash);
  expect(appendRecord(j, [body(1)])).toBe(true);
  flash.append('np.j0', j.offset + 30, '', '\x7f');
  expect(appendRecord(j, [body(2)])).toBe(false);
  expect(appendRecord(j, [body(2)])).toBe(true);
  expect(appendRecord(j, [body(3)])).toBe(true);
  expect(mount(flash).found).toEqual([1, 2, 3]);
});

it('worn cells in the free space at a start are skipped', () => {
  const flash = new SimulatedFlash();
  const first = mount(flash).j;
  expect(appendRecord(first, [body(1)])).toBe(true);
  flash.append('np.j0', first.offset + 500, '', '\x7f');
  const { j } = mount(flash);
  expect(j.offset).toBe(first.offset + 501);
  expect(appendRecord(j, [body(2)])).toBe(true);
  expect(mount(flash).found).toEqual([1, 2]);
});

it('a record whose cells lose a bit later is skipped, at a start and when sending', () => {
  const flash = new SimulatedFlash();
  const { j } = mount(flash);
  for (let n = 1; n <= 3; n++) expect(appendRecord(j, [body(n)])).toBe(true);
  const read = flash.read.bind(flash);
  flash.read = (file, offset, length) => read(file, offset, length).replace('"n":2', '"n":0');
  const again = mount(flash);
  expect(again.found).toEqual([1, 3]);
  expect([again.j.last, again.j.prev]).toEqual([j.last, j.prev]);
  acknowledge(again.j, again.j.id, 1);
  expect(JSON.parse(nextToSend(again.j)).n).toBe(3);
});

it('a write that reports success but does nothing does not count, and the next one does', () => {
  const flash = new SimulatedFlash();
  const { j } = mount(flash);
  const append = flash.append.bind(flash);
  flash.append = () => true;
  expect(appendRecord(j, [body(1)])).toBe(false);
  flash.append = append;
  expect(appendRecord(j, [body(1)])).toBe(true);
  expect(mount(flash).found).toEqual([1]);
});

it('a write that lands after the next one shows at the next start, and the chain continues from the one that counted', () => {
  const flash = new SimulatedFlash();
  const { j } = mount(flash);
  const append = flash.append.bind(flash);
  let late = (): boolean => true;
  flash.append = (file, offset, head, text) => {
    late = () => append(file, offset, head, text);
    return true;
  };
  expect(appendRecord(j, [body(1)])).toBe(false);
  flash.append = append;
  expect(appendRecord(j, [body(2)])).toBe(true);
  expect(late()).toBe(true);
  const { j: again, found } = mount(flash);
  // Both have the number 1: the first was reported as not durable, so nothing opened on it.
  expect([again.last, again.prev]).toEqual([1, j.prev]);
  expect(found).toEqual([1, 2]);
});

/**
 * Both files full and everything in the log book: the next record switches back to the first. @returns
 * records made
 */
function fillBoth(j: Journal): number {
  let n = 0;
  while (j.generation === 1) expect(appendRecord(j, [body(++n)])).toBe(true);
  while (j.offset + 200 < SMALL) expect(appendRecord(j, [body(++n)])).toBe(true);
  acknowledge(j, j.id, j.last);
  return n;
}

it('a file that cannot be restarted leaves the full one as it is, and is restarted when it can be', () => {
  const flash = new SimulatedFlash();
  const { j } = mount(flash);
  let n = fillBoth(j);
  flash.worn = true;
  expect(appendRecord(j, [body(++n)])).toBe(false);
  flash.worn = false;
  expect(appendRecord(j, [body(n)])).toBe(true);
  const { found } = mount(flash);
  expect(found[found.length - 1]).toBe(n);
  expect(found).toEqual(Array.from({ length: found.length }, (_, i) => n - found.length + 1 + i));
});

it('a file whose erase reports false success keeps its old records, and none is written behind its old header', () => {
  const flash = new SimulatedFlash();
  const { j } = mount(flash);
  let n = fillBoth(j);
  const erase = flash.erase.bind(flash);
  flash.erase = () => true;
  expect(appendRecord(j, [body(++n)])).toBe(false);
  expect(mount(flash).found).toEqual(Array.from({ length: n - 1 }, (_, i) => i + 1));
  flash.erase = erase;
  expect(appendRecord(j, [body(n)])).toBe(true);
  const again = mount(flash);
  expect([again.j.last, again.found[again.found.length - 1]]).toEqual([n, n]);
});

it('a record damaged at the end of the full file keeps its number when the next file has just been begun', () => {
  const flash = new SimulatedFlash();
  const { j } = mount(flash);
  let n = 0;
  while (j.generation === 1) expect(appendRecord(j, [body(++n)])).toBe(true);
  const read = flash.read.bind(flash);
  // What stands behind the header of the new file was never written; the last record before it has lost a bit.
  flash.read = (file, offset, length) =>
    file === 'np.j1'
      ? read(file, offset, length).replace(`"n":${n},"fill":"f`, `"n":${n},"fill":"g`)
      : read(file, offset, length).replace(`"n":${n - 1},"fill":"f`, `"n":${n - 1},"fill":"g`);
  const again = mount(flash);
  expect(again.found[again.found.length - 1]).toBe(n - 2);
  expect(again.j.last).toBe(n - 1);
  expect(appendRecord(again.j, [body(1000)])).toBe(true);
  expect(again.j.last).toBe(n);
});

it('a record that was kept although it could not be read back is one record: found once and sent once', () => {
  const flash = new SimulatedFlash();
  const { j } = mount(flash);
  const queue = [body(1)];
  const read = flash.read.bind(flash);
  flash.read = () => '';
  expect(appendRecord(j, queue)).toBe(false);
  flash.read = read;
  expect(appendRecord(j, queue)).toBe(true);
  expect(appendRecord(j, [body(2)])).toBe(true);
  const again = mount(flash);
  expect([again.found, again.j.last]).toEqual([[1, 2], 2]);
  const sent: number[] = [];
  for (let text = nextToSend(again.j); text !== ''; text = nextToSend(again.j)) {
    sent.push(JSON.parse(text).n);
    sentRecord(again.j, text);
  }
  expect(sent).toEqual([1, 2]);
});

it('a write that is reported as failed and kept counts, and no copy of it is made', () => {
  const flash = new SimulatedFlash();
  const { j } = mount(flash);
  const append = flash.append.bind(flash);
  flash.append = (file, offset, head, text) => append(file, offset, head, text) && false;
  expect(appendRecord(j, [body(1)])).toBe(true);
  const written = flash.bytesWritten;
  expect(appendRecord(j, [body(2)])).toBe(true);
  expect(flash.bytesWritten - written).toBeLessThan(2 * written);
  expect(mount(flash).found).toEqual([1, 2]);
});

it('a journal that cannot be read whole at a start is not taken for a shorter one', () => {
  const flash = new SimulatedFlash();
  const { j } = mount(flash);
  for (let n = 1; n <= 3; n++) expect(appendRecord(j, [body(n)])).toBe(true);
  const read = flash.read.bind(flash);
  for (let failing = 0; failing < 20; failing++) {
    let reads = 0;
    flash.read = (file, offset, length) => (reads++ === failing ? '' : read(file, offset, length));
    expect(() => mount(flash)).toThrow('did not mount');
  }
  flash.read = read;
  expect(mount(flash).found).toEqual([1, 2, 3]);
});

it('a header that was kept although it could not be read back hides no record that is yet to be sent', () => {
  const flash = new SimulatedFlash();
  const { j } = mount(flash);
  let n = 0;
  while (j.offset + 200 < SMALL) expect(appendRecord(j, [body(++n)])).toBe(true);
  acknowledge(j, j.id, 2);
  const append = flash.append.bind(flash);
  const read = flash.read.bind(flash);
  flash.append = (file, offset, head, text) => {
    if (offset === 0) flash.read = () => '';
    return append(file, offset, head, text);
  };
  expect(turnFile(j)).toBe(false);
  flash.append = append;
  flash.read = read;
  resend(j);
  for (let next = 3; next <= n; next++) {
    const text = nextToSend(j);
    expect(JSON.parse(text).n).toBe(next);
    sentRecord(j, text);
  }
});
