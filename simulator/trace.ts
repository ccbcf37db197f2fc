// What a controller was given and what it did, as lines of text: everything that its decisions depend on.
// The same lines, played to the emitted firmware on another engine, must give the same bytes and edges.
//   T <ms> <input bits> [<lamp mA>,...]   one turn of the loop; lamps only where they were read and changed;
//                                         above the six input bits stands the charging current, mA
//   O <ms> / C <ms> / D <ms> <hex>        the connection opened, closed, brought bytes
// and, in `told`:
//   W <ms> <hex>                          bytes written to the connection
//   P <ms> <0|1>                          the relay's pulse train stopped or began, as of this turn
import { type Inputs, levelBits } from '../firmware/core/inputs';

function hexOf(bytes: string): string {
  return Buffer.from(bytes, 'latin1').toString('hex');
}

export class Trace {
  readonly given: string[] = [];
  readonly told: string[] = [];
  private lamps = '';
  private pulsing = false;

  /** Before a turn: whether the relay's pulses go on in it. */
  beforeTurn(ms: number, pulsing: boolean): void {
    if (pulsing !== this.pulsing) this.told.push(`P ${ms} ${pulsing ? 1 : 0}`);
    this.pulsing = pulsing;
  }

  /** A turn received these inputs; `lampCount` lamp readings are valid. */
  turn(ms: number, inputs: Inputs, lampCount: number): void {
    const lamps = inputs.lamp.slice(0, lampCount).join(',');
    this.given.push(
      `T ${ms} ${levelBits(inputs) | (inputs.charge << 6)}${lamps === this.lamps ? '' : ` ${lamps}`}`,
    );
    this.lamps = lamps;
  }

  opened(ms: number): void {
    this.given.push(`O ${ms}`);
  }

  closed(ms: number): void {
    this.given.push(`C ${ms}`);
  }

  data(ms: number, bytes: string): void {
    this.given.push(`D ${ms} ${hexOf(bytes)}`);
  }

  wrote(ms: number, bytes: string): void {
    this.told.push(`W ${ms} ${hexOf(bytes)}`);
  }
}
