// The board's inputs, read from the circuit. While the contact is held open and nobody comes, nothing but the
// lamps changes: the circuit is then left alone, since a test is thousands of turns.
import type { Ending } from '../firmware/contract/codes';
import type { Inputs } from '../firmware/core/inputs';
import {
  type CircuitPlant,
  circuitChangeAt,
  circuitChargeMilliamps,
  edgesAfter,
  isKeyTurned,
  isOccupied,
  isStopped,
  sensesLive,
  sensesSupply,
  settleCircuit,
} from './plant/circuit';
import { driveRelay, heldUntil, holdEnd, isHeldOpen } from './plant/relay';

export class Senses {
  /** The contact is held open, and nothing else happens to the circuit before `stillUntil`. */
  private isHeld = false;
  private stillUntil = 0;
  /** The circuit has been settled since the inputs were last filled in, or keeps changing at rest. */
  private isUnread = true;
  /** Instant up to which the circuit is settled and untouched, and that of the inputs; -1 none. */
  private settledAt = -1;
  private readAt = -1;

  constructor(private readonly plant: CircuitPlant) {}

  /** Something outside has touched the circuit. */
  touch(): void {
    this.isHeld = false;
    this.isUnread = true;
    this.settledAt = -1;
    this.readAt = -1;
  }

  private isStill(now: number): boolean {
    return this.isHeld && now < this.stillUntil && now < holdEnd(this.plant.relay);
  }

  /** Until when a circuit held open stays as it is while its lease is renewed; 0 for any other. */
  stillFor(): number {
    return this.isHeld && !this.isUnread ? this.stillUntil : 0;
  }

  /** Brings the circuit up to `now`. */
  settle(now: number): void {
    if (now === this.settledAt || this.isStill(now)) return;
    const { plant } = this;
    settleCircuit(plant, now);
    this.settledAt = now;
    this.readAt = -1;
    this.isUnread = true;
    this.isHeld = isHeldOpen(plant.relay);
    if (this.isHeld) this.stillUntil = Math.min(edgesAfter(plant, now), heldUntil(plant.relay));
  }

  /** Next instant at which the circuit may change by itself; valid right after `settle`. */
  changeAt(now: number): number {
    if (!this.isHeld) return circuitChangeAt(this.plant, now);
    return Math.min(this.stillUntil, holdEnd(this.plant.relay));
  }

  drive(isOpen: boolean, until: number, now: number, ending?: Ending): void {
    const relay = this.plant.relay;
    const was = relay.driven;
    const lingered = relay.lingersUntil;
    driveRelay(relay, isOpen && now <= until, until, now, ending);
    if (relay.driven !== was || relay.lingersUntil !== lingered) this.touch();
  }

  /** Fills in the inputs; the charging current only where it `isFitted`. */
  read(inputs: Inputs, now: number, isFitted: boolean): void {
    if (!this.isUnread) return;
    const { plant } = this;
    inputs.supplyA = sensesSupply(plant, now) ? 1 : 0;
    inputs.supplyB = sensesLive(plant, now) ? 1 : 0;
    inputs.aux = plant.relay.open ? 1 : 0;
    inputs.occupied = isOccupied(plant, now) ? 1 : 0;
    inputs.stop = isStopped(plant, now) ? 1 : 0;
    inputs.key = isKeyTurned(plant, now) ? 1 : 0;
    inputs.charge = isFitted ? circuitChargeMilliamps(plant, now) : 0;
    this.readAt = now;
    // At rest the charging current keeps changing.
    this.isUnread = !this.isHeld;
  }

  /** Whether an input differs from what was last filled in. */
  hasNews(inputs: Inputs, now: number): boolean {
    if (!this.isUnread || now === this.readAt) return false;
    const { plant } = this;
    return (
      inputs.supplyA !== (sensesSupply(plant, now) ? 1 : 0) ||
      inputs.supplyB !== (sensesLive(plant, now) ? 1 : 0) ||
      inputs.aux !== (plant.relay.open ? 1 : 0) ||
      inputs.occupied !== (isOccupied(plant, now) ? 1 : 0) ||
      inputs.stop !== (isStopped(plant, now) ? 1 : 0) ||
      inputs.key !== (isKeyTurned(plant, now) ? 1 : 0)
    );
  }
}
