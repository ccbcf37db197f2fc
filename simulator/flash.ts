// Flash as the controller's files see it: bytes are erased to 0xff, can be written once, and a power
// cut in the middle of a write leaves the part that was done.
import type { FlashPort } from '../firmware/ports';

/** Thrown where the power goes in the middle of a write. */
export class PowerCut extends Error {}

export class SimulatedFlash implements FlashPort {
  private readonly files = new Map<string, Buffer>();
  private readonly saved = new Map<string, string>();
  /** Bytes that may still be written before the power goes; infinite normally. */
  bytesUntilCut = Number.POSITIVE_INFINITY;
  /** Writes fail (worn out) while true. */
  worn = false;
  bytesWritten = 0;

  size(file: string): number {
    return this.files.get(file)?.length ?? 0;
  }

  create(file: string, first: string, bytes: number): boolean {
    if (this.worn) return false;
    this.files.set(file, Buffer.alloc(bytes, 0xff));
    return this.append(file, 0, first);
  }

  append(file: string, offset: number, text: string): boolean {
    const data = this.files.get(file);
    if (this.worn || !data || offset + text.length > data.length) return false;
    for (let i = 0; i < text.length; i++) if (data[offset + i] !== 0xff) return false;
    const count = Math.min(text.length, this.bytesUntilCut);
    data.write(text.slice(0, count), offset, 'latin1');
    this.spend(text.length);
    return true;
  }

  read(file: string, offset: number, length: number): string {
    const data = this.files.get(file);
    return data ? data.toString('latin1', offset, Math.min(offset + length, data.length)) : '';
  }

  save(name: string, text: string): boolean {
    if (this.worn) return false;
    // Written beside the old one, which is given up only when this one is whole.
    this.spend(text.length);
    this.saved.set(name, text);
    return true;
  }

  load(name: string): string {
    return this.saved.get(name) ?? '';
  }

  /** Writes that many bytes, or as many as the power allows. */
  private spend(bytes: number): void {
    const count = Math.min(bytes, this.bytesUntilCut);
    this.bytesUntilCut -= count;
    this.bytesWritten += count;
    if (count < bytes) throw new PowerCut('power cut in a flash write');
  }
}
