// Flash as the controller's files see it: bytes are erased to 0xff, can be written once, and a power cut
// during a write leaves the part that was done.
import type { FlashPort } from '../firmware/ports';
import { isIn, type Span } from './plant/spans';

const BLANK = '\xff';

/** Thrown where the power fails during a write. */
export class PowerCut extends Error {}

/** The power fails during the first write from `at` on, after this many bytes of it. */
export interface TornWrite {
  at: number;
  bytes: number;
}

interface FlashFile {
  data: Buffer;
  /** The end of what was written: all behind it is erased. */
  end: number;
}

export class SimulatedFlash implements FlashPort {
  private readonly files = new Map<string, FlashFile>();
  private readonly saved = new Map<string, string>();
  /** Bytes that may still be written before the power fails; infinite normally. */
  bytesUntilCut = Number.POSITIVE_INFINITY;
  /** Writes fail (worn out) while true. */
  worn = false;
  bytesWritten = 0;
  /** Called with every text that is about to be appended. */
  onAppend: ((text: string) => void) | undefined;
  /** Sorted. */
  readonly tornWrites: TornWrite[] = [];
  /**
   * Spans in which every write is refused, and in which it is reported as done but not kept: sorted,
   * disjoint.
   */
  readonly refusals: Span[] = [];
  readonly lies: Span[] = [];
  /** Spans in which every write is kept and reported as failed, and in which nothing can be read. */
  readonly denials: Span[] = [];
  readonly blackouts: Span[] = [];

  constructor(private readonly clock: { now: number } = { now: 0 }) {}

  erase(file: string, bytes: number): boolean {
    if (this.refuses()) return false;
    if (!this.isLying()) this.files.set(file, { data: Buffer.alloc(bytes, 0xff), end: 0 });
    return true;
  }

  append(file: string, offset: number, head: string, rest: string): boolean {
    const text = head + rest;
    this.onAppend?.(text);
    const held = this.files.get(file);
    if (this.refuses() || !held || offset + text.length > held.data.length) return false;
    const written = Math.min(offset + text.length, held.end);
    for (let i = offset; i < written; i++) if (held.data[i] !== 0xff) return false;
    if (this.isLying()) return true;
    const count = this.countBeforeCut(text.length);
    held.data.write(text.slice(0, count), offset, 'latin1');
    held.end = Math.max(held.end, offset + count);
    this.spend(text.length, count);
    return !this.denies();
  }

  read(file: string, offset: number, length: number): string {
    return this.isUnreadable() ? '' : this.bytesAt(file, offset, length);
  }

  /** What stands there, whether the controller can read it or not. */
  bytesAt(file: string, offset: number, length: number): string {
    const data = this.files.get(file)?.data;
    // Files are there from the first day on, blank.
    return data
      ? data.toString('latin1', offset, Math.min(offset + length, data.length))
      : BLANK.repeat(length);
  }

  save(name: string, text: string): boolean {
    if (this.refuses()) return false;
    if (this.isLying()) return true;
    // Written beside the old one, which is given up only once this one is whole.
    this.spend(text.length, this.countBeforeCut(text.length));
    this.saved.set(name, text);
    return !this.denies();
  }

  load(name: string): string {
    return this.isUnreadable() ? '' : this.savedText(name);
  }

  /** The text saved under a name, whether the controller can read it or not. */
  savedText(name: string): string {
    return this.saved.get(name) ?? '';
  }

  private refuses(): boolean {
    return this.worn || (this.refusals.length > 0 && isIn(this.refusals, this.clock.now));
  }

  private denies(): boolean {
    return this.denials.length > 0 && isIn(this.denials, this.clock.now);
  }

  private isUnreadable(): boolean {
    return this.blackouts.length > 0 && isIn(this.blackouts, this.clock.now);
  }

  private isLying(): boolean {
    return this.lies.length > 0 && isIn(this.lies, this.clock.now);
  }

  /** Bytes of a write that the power allows; a torn write that is due starts here. */
  private countBeforeCut(bytes: number): number {
    const torn = this.tornWrites[0];
    if (torn !== undefined && torn.at <= this.clock.now && bytes > 0) {
      this.tornWrites.shift();
      this.bytesUntilCut = Math.min(torn.bytes, bytes - 1);
    }
    return Math.min(bytes, this.bytesUntilCut);
  }

  /** Wrote `count` of that many bytes: all of them, or as many as the power allowed. */
  private spend(bytes: number, count: number): void {
    this.bytesUntilCut -= count;
    this.bytesWritten += count;
    if (count < bytes) throw new PowerCut('power cut in a flash write');
  }
}
