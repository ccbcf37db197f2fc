// A clock chip behind the interpreter's software I2C, as far as a program can tell: registers 00h to 06h in BCD,
// control 0Eh, status 0Fh. Software I2C checks no acknowledgement (src/jsi2c.c of the interpreter, 2v29:
// I2C_NACK_CHECK is not defined), so an absent chip reads as ones, and a line held low throws.

/** Registers 00h to 06h of a time, from the calendar of the JavaScript engine, not from the driver's. */
export function registersOf(utcSec: number): number[] {
  const d = new Date(utcSec * 1000);
  const bcd = (n: number): number => Number.parseInt(String(n), 16);
  const days = Math.floor(utcSec / 86_400) - 10_957;
  return [
    ...[bcd(d.getUTCSeconds()), bcd(d.getUTCMinutes()), bcd(d.getUTCHours()), 1 + (((days % 7) + 7) % 7)],
    ...[bcd(d.getUTCDate()), bcd(d.getUTCMonth() + 1), bcd(d.getUTCFullYear() % 100)],
  ];
}

function numberOf(registers: number[]): number {
  const [s, min, h, , day, month, year] = registers.map((b) => (b >> 4) * 10 + (b & 15));
  return Date.UTC(2000 + year, month - 1, day, h, min, s) / 1000;
}

export class ClockChipModel {
  /** UTC second of the chip; undefined registers replace those of the time. */
  utcSec = 0;
  forced: { [register: number]: number } = {};
  /** As delivered: oscillator stopped, and not to run on the cell. */
  control = 0x9c;
  status = 0x88;
  isAbsent = false;
  /** The chip holds the data line until it has been clocked this often: a reset cut short a read. */
  heldFor = 0;
  isClockHeld = false;
  /** Called before each register that is read, for a time that moves meanwhile. */
  beforeByte: (() => void) | undefined;
  /** Bytes written, after which the board loses its power. */
  bytesUntilCut = Number.POSITIVE_INFINITY;
  transfers = 0;
  private raw: number[] | undefined;

  /** Level of the data line. */
  data(): number {
    return this.heldFor > 0 ? 0 : 1;
  }

  clocked(): void {
    this.heldFor = Math.max(0, this.heldFor - 1);
  }

  private register(n: number): number {
    if (this.isAbsent) return 0xff;
    if (this.forced[n] !== undefined) return this.forced[n];
    if (n === 0x0e) return this.control;
    if (n === 0x0f) return this.status;
    return n < 7 ? (this.raw ?? registersOf(this.utcSec))[n] : 0;
  }

  read(from: number, count: number): Uint8Array {
    this.transfers++;
    if (this.heldFor > 0 || this.isClockHeld) throw new Error('I2C Error: Timeout (wr)');
    const bytes = new Uint8Array(count);
    for (let i = 0; i < count; i++) {
      this.beforeByte?.();
      bytes[i] = this.register(from + i);
    }
    return bytes;
  }

  write(from: number, bytes: number[]): void {
    this.transfers++;
    if (this.heldFor > 0 || this.isClockHeld) throw new Error('I2C Error: Timeout (wr)');
    if (this.isAbsent) return;
    const time = (this.raw ?? registersOf(this.utcSec)).slice();
    bytes.forEach((byte, i) => {
      if (this.bytesUntilCut-- <= 0) return;
      const n = from + i;
      if (n < 7) time[n] = byte;
      else if (n === 0x0e) this.control = byte;
      // The flag can only be cleared.
      else if (n === 0x0f) this.status = (this.status & byte & 0x80) | (byte & 0x08);
    });
    const isTime = registersOf(numberOf(time)).every((byte, i) => byte === time[i]);
    this.raw = isTime ? undefined : time;
    if (isTime) this.utcSec = numberOf(time);
  }
}
