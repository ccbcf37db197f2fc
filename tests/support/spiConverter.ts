// An 8-channel 12-bit SPI converter clock by clock, following the timing diagram in its data sheet (Microchip
// DS21298E, figure 5-1): after the start bit come single-ended, three channel bits, a clock of sampling, a
// null bit, twelve data bits.

/** Level of an input, 0 to 1 of the reference. */
export type Input = (channel: number) => number;

export class SpiConverter {
  /** Bits since the start bit, including it; 0 while waiting for one. */
  private bits = 0;
  private command = 0;
  private code = 0;
  private isSelected = false;

  constructor(private readonly input: Input) {}

  select(level: number): void {
    this.isSelected = level === 0;
    this.bits = 0;
    this.command = 0;
  }

  /** Eight clocks, highest bit first. @returns the data output, 1 where nothing drives it. */
  exchange(byte: number): number {
    let out = 0;
    for (let i = 7; i >= 0; i--) out = (out << 1) | this.clock((byte >> i) & 1);
    return out;
  }

  private clock(bit: number): number {
    if (!this.isSelected || (this.bits === 0 && bit === 0)) return 1;
    this.bits++;
    if (this.bits >= 2 && this.bits <= 5) this.command = (this.command << 1) | bit;
    if (this.bits === 6) {
      const isSingleEnded = this.command >> 3 === 1;
      const share = isSingleEnded ? this.input(this.command & 7) : 0;
      this.code = Math.max(0, Math.min(4095, Math.floor(share * 4096)));
    }
    if (this.bits < 7) return 1;
    return this.bits === 7 ? 0 : (this.code >> (19 - this.bits)) & 1;
  }
}

/** A bus with a converter at each of these select lines. */
export class SpiBus {
  /** Bytes exchanged. */
  count = 0;

  constructor(private readonly converters: { [line: string]: SpiConverter }) {}

  write(line: string, level: number): void {
    this.converters[line]?.select(level);
  }

  /** A byte to all of them; those not selected leave the data line high. */
  send(byte: number): number {
    this.count++;
    return Object.values(this.converters).reduce((out, one) => out & one.exchange(byte), 255);
  }
}
