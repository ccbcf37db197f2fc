// The interpreter's Storage, byte by byte, as src/jsflash.c of Espruino 2v29 works: one file after another, each
// a size word, a name of 28 bytes and its data; pages erased to 0xff, in which bits can only be cleared.
// `tests/engine/storage.test.ts` compares it with the real one. Power may fail at every word that is programmed
// and every page that is erased, and leaves that one half done.
import { PowerCut } from '../../simulator/flash';

const HEADER = 32;
const WORD = 4;
const UNSET = 0xffffffff;
/** Flags of files that compaction keeps: plain, storage file, compressed. */
const REAL = [0, 64, 128];

interface Header {
  /** Size and flags. */
  word: number;
  name: Buffer;
}

interface StorageOptions {
  bytes: number;
  pageBytes: number;
  /** Address where it begins. */
  at?: number;
  /** Bytes programmed in one go: a cut leaves any of their bits undone. 4 in a microcontroller, 256 in a chip. */
  unit?: number;
  /** 0 to 1, for what a cut leaves. */
  random?: () => number;
}

const aligned = (bytes: number): number => (bytes + WORD - 1) & ~(WORD - 1);
const sizeOf = (header: Header): number => header.word & 0xffffff;
const isDeleted = (header: Header): boolean => header.name.readUInt32LE(0) === 0;
const isReal = (header: Header): boolean => !isDeleted(header) && REAL.includes(header.word >>> 24);

function nameBytes(name: string): Buffer {
  const bytes = Buffer.alloc(HEADER - WORD);
  bytes.write(name.slice(0, HEADER - WORD), 'latin1');
  return bytes;
}

export class StorageModel {
  readonly image: Buffer;
  /** Steps done so far, and the one at which the power fails. */
  steps = 0;
  cutAt = Number.POSITIVE_INFINITY;
  /** Compactions begun so far. */
  compactions = 0;
  readonly at: number;
  private readonly pageBytes: number;
  private readonly unit: number;
  private readonly random: () => number;

  constructor(o: StorageOptions, image?: Buffer) {
    this.image = image ?? Buffer.alloc(o.bytes, 0xff);
    this.pageBytes = o.pageBytes;
    this.at = o.at ?? 0;
    this.unit = o.unit ?? WORD;
    this.random = o.random ?? (() => 0.5);
  }

  /** What the interpreter does when it starts. @returns whether it found its storage broken and erased it */
  start(): boolean {
    if (this.isValid()) return false;
    this.eraseAll();
    return true;
  }

  eraseAll(): void {
    this.erasePages(0, this.image.length);
  }

  read(name: string, offset = 0, length = 0): string | undefined {
    const found = this.find(name);
    if (!found) return undefined;
    const size = sizeOf(found.header);
    const from = Math.min(Math.max(offset, 0), size);
    const left = Math.min(length <= 0 ? size : length, size - from);
    return this.image.toString('latin1', found.data + from, found.data + from + left);
  }

  write(name: string, text: string, offset = 0, wanted = 0): boolean {
    const data = Buffer.from(text, 'latin1');
    const size = wanted || data.length;
    if (!size) throw new Error("Can't create zero length file");
    let found = this.find(name);
    if (offset === 0 && (!found || this.mustReplace(found, size))) {
      if (found && data.length === size && size === sizeOf(found.header) && this.holds(found.data, data))
        return true;
      if (found) this.markDeleted(found.data);
      found = this.create(name, size);
    }
    if (!found) throw new Error('Unable to find or create file');
    if (offset + data.length > sizeOf(found.header)) throw new Error('Too much data for file size');
    const at = found.data + offset;
    if (!this.isErased(at, data.length)) throw new Error('File already written with different data');
    this.program(at, data);
    return true;
  }

  erase(name: string): void {
    const found = this.find(name);
    if (found) this.markDeleted(found.data);
  }

  list(): string[] {
    const names: string[] = [];
    this.walk((header) => {
      if (isReal(header)) names.push(header.name.toString('latin1').replace(/\0.*$/s, ''));
    });
    return names;
  }

  getFree(): number {
    return this.stats().free;
  }

  compact(): void {
    this.compactAll();
  }

  /** The interpreter's module for raw flash, by address. */
  readonly raw = {
    getPage: (address: number): { addr: number; length: number } | undefined => {
      const at = address - this.at;
      if (at < 0 || at >= this.image.length) return undefined;
      return { addr: this.at + at - (at % this.pageBytes), length: this.pageBytes };
    },
    read: (length: number, address: number): Uint8Array =>
      new Uint8Array(this.image.subarray(address - this.at, address - this.at + length)),
    erasePage: (address: number): void => this.erasePage(address - this.at),
  };

  private mustReplace(found: { data: number; header: Header }, size: number): boolean {
    const { header, data } = found;
    return header.word >>> 24 !== 0 || size !== sizeOf(header) || !this.isErased(data, size);
  }

  private headerAt(at: number): { header: Header; valid: boolean } {
    const bytes = Buffer.alloc(HEADER, 0xff);
    this.image.copy(bytes, 0, at, at + HEADER);
    const header = { word: bytes.readUInt32LE(0), name: bytes.subarray(WORD) };
    const fits = at + HEADER + sizeOf(header) <= this.image.length;
    return { header, valid: header.word !== UNSET && header.word !== 0 && fits };
  }

  /** Offset of the page after this one, -1 none. */
  private nextPage(at: number): number {
    const next = at - (at % this.pageBytes) + this.pageBytes;
    return next >= this.image.length ? -1 : next;
  }

  /** The header after this one; with `all`, the first of a later page if there is none here. */
  private next(at: number, header: Header, all: boolean): { at: number; header: Header; valid: boolean } {
    const here = aligned(at + sizeOf(header) + HEADER);
    if (here + HEADER > this.image.length) return { at: -1, header, valid: false };
    const found = this.headerAt(here);
    if (found.valid || !all) return { at: here, ...found };
    const page = this.nextPage(here);
    return page < 0 ? { at: page, header: found.header, valid: false } : { at: page, ...this.headerAt(page) };
  }

  /** Visits every header in turn. @returns where the walk ended, -1 at the end of the storage */
  private walk(visit: (header: Header, at: number) => unknown, all = true, from = 0): number {
    let at = from;
    let { header, valid } = this.headerAt(at);
    while (valid) {
      if (visit(header, at) === true) return at;
      ({ at, header, valid } = this.next(at, header, all));
    }
    return at;
  }

  private find(name: string): { data: number; header: Header } | undefined {
    const wanted = nameBytes(name);
    let found: { data: number; header: Header } | undefined;
    this.walk((header, at) => {
      if (header.name.equals(wanted)) found = { data: at + HEADER, header };
      return found !== undefined;
    });
    return found;
  }

  private isErased(at: number, bytes: number): boolean {
    for (let i = at; i < at + bytes; i++) if (this.image[i] !== 0xff) return false;
    return true;
  }

  private holds(at: number, data: Buffer): boolean {
    return this.image.subarray(at, at + data.length).equals(data);
  }

  private markDeleted(data: number): void {
    this.program(data - HEADER + WORD, Buffer.alloc(WORD));
  }

  private stats(): { fileBytes: number; trashBytes: number; free: number; firstPage: number } {
    const stats = { fileBytes: 0, trashBytes: 0, free: 0, firstPage: -1 };
    let end = 0;
    let unbroken = 0;
    this.walk((header, at) => {
      if (at % this.pageBytes === 0) unbroken = at;
      const bytes = aligned(sizeOf(header)) + HEADER;
      end = at + bytes;
      if (isDeleted(header)) {
        stats.trashBytes += bytes;
        if (stats.firstPage < 0) stats.firstPage = unbroken;
      } else stats.fileBytes += bytes;
    });
    stats.free = this.image.length - end;
    return stats;
  }

  /** The next page counts as free to the very end when it begins with no file. */
  private spaceLeft(at: number): number {
    if (at < 0) return 0;
    const next = at - (at % this.pageBytes) + this.pageBytes;
    const isFree = next < this.image.length && !this.headerAt(next).valid;
    return (isFree ? this.image.length : next) - at;
  }

  /** A hole that is big enough, or -1; `room` is all that a compaction could bring together. */
  private hole(bytes: number): { at: number; room: number } {
    let at = 0;
    let room = 0;
    while (at >= 0) {
      at = this.walk(
        (header) => {
          if (isDeleted(header)) room += sizeOf(header);
        },
        false,
        at,
      );
      const space = this.spaceLeft(at);
      room += space;
      if (space >= bytes) return { at, room };
      at = at < 0 ? -1 : this.nextPage(at);
    }
    return { at: -1, room };
  }

  private create(name: string, size: number): { data: number; header: Header } | undefined {
    const bytes = aligned(size) + HEADER;
    let { at, room } = this.hole(bytes);
    if (at < 0) {
      if (bytes >= room || !this.compactAll()) return undefined;
      ({ at, room } = this.hole(bytes));
      if (at < 0) return undefined;
    }
    const header = Buffer.concat([Buffer.alloc(WORD), nameBytes(name)]);
    header.writeUInt32LE(size, 0);
    this.program(at, header);
    return { data: at + HEADER, header: this.headerAt(at).header };
  }

  /** Files move forward through a buffer of a page; a page is erased with its files only there. */
  private compactAll(): boolean {
    const stats = this.stats();
    if (!stats.trashBytes) return false;
    this.compactions++;
    const room = Math.min(stats.fileBytes, this.pageBytes + HEADER);
    let held: Buffer = Buffer.alloc(0);
    let to = stats.firstPage;
    const flush = (readFrom: number): void => {
      while (held.length > 0) {
        const page = to - (to % this.pageBytes) + this.pageBytes;
        if (readFrom < page) return;
        const part = held.subarray(0, page - to);
        if (to % this.pageBytes === 0) this.erasePage(to);
        this.program(to, part);
        to += part.length;
        held = held.subarray(part.length);
      }
    };
    const end = this.walk(
      (header, at) => {
        if (!isReal(header)) return;
        held = Buffer.concat([held, this.image.subarray(at, at + HEADER)]);
        let from = at + HEADER;
        flush(from);
        for (let left = aligned(sizeOf(header)); left > 0; ) {
          const part = Math.min(left, room - held.length);
          if (part <= 0) throw new Error('The buffer is full.');
          held = Buffer.concat([held, this.image.subarray(from, from + part)]);
          from += part;
          left -= part;
          flush(from);
        }
      },
      true,
      stats.firstPage,
    );
    flush(this.image.length);
    const rest = to === stats.firstPage ? to : this.nextPage(to - 1);
    if (rest >= 0) this.erasePages(rest, end < 0 ? this.image.length : end);
    return true;
  }

  private isValid(): boolean {
    let { header, valid } = this.headerAt(0);
    let at = 0;
    while (valid) {
      const before = at;
      const size = sizeOf(header);
      ({ at, header, valid } = this.next(at, header, true));
      if (at < 0 && !valid) {
        const here = aligned(before + size + HEADER);
        if (here <= this.image.length && here + HEADER > this.image.length) return true;
      }
    }
    const isBlank = header.word === UNSET && header.name.every((byte) => byte === 0xff);
    return isBlank && at === 0 ? this.isErased(0, this.image.length) : isBlank;
  }

  /** Counts a step. @returns whether the power fails in it. @throws PowerCut when it has failed before */
  private fails(): boolean {
    if (this.steps > this.cutAt) throw new PowerCut('there is no power');
    return this.steps++ === this.cutAt;
  }

  private program(at: number, data: Buffer): void {
    for (let i = 0; i < data.length; ) {
      const end = Math.min(data.length, i + this.unit - ((at + i) % this.unit));
      const isCut = this.fails();
      for (; i < end; i++) {
        // Of the bits to be cleared, any may be left.
        const left = isCut ? Math.floor(this.random() * 256) : 0;
        this.image[at + i] &= data[i] | left;
      }
      if (isCut) throw new PowerCut('power cut while programming');
    }
  }

  private erasePage(at: number): void {
    const from = at - (at % this.pageBytes);
    if (!this.fails()) {
      this.image.fill(0xff, from, from + this.pageBytes);
      return;
    }
    // Nothing yet, some bits everywhere, or all but a few.
    const share = Math.floor(this.random() * 3);
    for (let i = from; i < from + this.pageBytes && share > 0; i++) {
      const kept = share === 1 ? Math.floor(this.random() * 256) : this.random() < 0.01 ? 0xfe : 0xff;
      this.image[i] |= kept;
    }
    throw new PowerCut('power cut while erasing');
  }

  private erasePages(from: number, to: number): void {
    for (let at = from; at < to; at = at - (at % this.pageBytes) + this.pageBytes) this.erasePage(at);
  }
}
