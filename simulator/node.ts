// A simulated controller: the very same controller code on a modelled board, circuit and wire.
import { createHash } from 'node:crypto';
import {
  type Controller,
  coreTurn,
  coreWakeAt,
  LOOP_MS,
  linkClosed,
  linkData,
  linkDueAt,
  linkHalfTurn,
  linkOpened,
  newController,
} from '../firmware/controller';
import type { Inputs } from '../firmware/core/inputs';
import { Fitted } from '../firmware/core/settings';
import type { BoardPort } from '../firmware/ports';
import { PowerCut, SimulatedFlash } from './flash';
import type { SimulatedNet, WireHandlers } from './network';
import {
  type CircuitPlant,
  circuitChangeAt,
  circuitChargeMilliamps,
  hasMains,
  isKeyTurned,
  isOccupied,
  isStopped,
  newCircuitPlant,
  settleCircuit,
} from './plant/circuit';
import type { Luminaire } from './plant/luminaire';
import { sensorMilliamps } from './plant/luminaire';
import { driveRelay } from './plant/relay';
import { fork, next32, type Random } from './random';
import type { ControllerSpec, FaultSpec, FleetSpec } from './spec';
import type { Trace } from './trace';

export interface SimulationClock {
  /** Simulated ms since the start of the simulation. */
  now: number;
}

/** Bytes of one journal file: a page count the smallest supported board can give twice. */
const JOURNAL_BYTES = 65536;

/** SHA-256 for the controller: binary string to binary string. */
export function sha256(bytes: string): string {
  return createHash('sha256').update(bytes, 'latin1').digest('binary');
}

export class SimulatedController {
  readonly plant: CircuitPlant;
  readonly flash = new SimulatedFlash();
  /** Null while the board has no power. */
  controller: Controller | null = null;
  red = 0;
  bootAt = 0;
  /** Cause the board will report at its next start. */
  bootCause = 0;
  /** Patience clock of the link; the simulated one unless a real network is used. */
  linkClock: () => number;
  /** False where a real network drives the link's half of the turn. */
  linkSimulated = true;
  net: SimulatedNet;
  /** Set before the boot, it takes down all that this controller is given and does. */
  trace: Trace | undefined;
  private readonly random: Random;

  constructor(
    readonly spec: ControllerSpec,
    private readonly fleet: FleetSpec,
    private readonly clock: SimulationClock,
    net: SimulatedNet,
  ) {
    this.net = net;
    this.random = fork(fleet.seed, spec.address);
    this.plant = newCircuitPlant(spec.circuit, spec.lamps, fleet.seed);
    this.plant.outages = spec.outages.slice();
    this.plant.visits = spec.visits.slice();
    for (const fault of spec.faults) this.plantFault(fault);
    this.linkClock = () => this.clock.now - this.bootAt;
  }

  private plantFault(fault: FaultSpec): void {
    const relay = this.plant.relay;
    if (fault.kind === 'relay stuck closed') {
      relay.weldedFrom = fault.at;
      relay.weldedTo = fault.repairedAt;
    } else if (fault.kind === 'relay sticks open') {
      relay.sticksFrom = fault.at;
      relay.sticksTo = fault.repairedAt;
      relay.stickMs = fault.stickMs;
    } else if (fault.kind === 'relay sticks until exercised') {
      relay.sticksFrom = fault.at;
      relay.sticksTo = fault.repairedAt;
      relay.stickMs = Number.POSITIVE_INFINITY;
      relay.freesAfter = fault.exercises;
    } else if (fault.kind === 'relay bounces') {
      relay.bouncesFrom = fault.at;
      relay.bouncesTo = fault.repairedAt;
      relay.bounceMs = fault.bounceMs;
    } else if (fault.kind === 'circuit charger dead') {
      for (const l of this.plant.luminaires) l.faults.chargerDeadFrom = fault.at;
    } else this.plantLuminaireFault(fault);
  }

  private luminaire(id: string): Luminaire {
    return this.plant.luminaires.find((l) => l.spec.id === id) as Luminaire;
  }

  private plantLuminaireFault(fault: Extract<FaultSpec, { luminaire: string }>): void {
    const faults = this.luminaire(fault.luminaire).faults;
    if (fault.kind === 'dead lamp') faults.deadLampFrom = fault.at;
    else if (fault.kind === 'charger dead') faults.chargerDeadFrom = fault.at;
    else if (fault.kind === 'sensor stuck') faults.stuckFrom = fault.at;
    else if (fault.kind === 'aged battery') {
      faults.agedFrom = fault.at;
      faults.agedMs = fault.lastsMs;
    } else if (fault.kind === 'sensor drift') {
      faults.driftFrom = fault.at;
      faults.driftPerDay = fault.milliampsPerDay;
    } else {
      faults.crossFrom = fault.at;
      faults.crossWith = this.luminaire(fault.from);
      faults.crossShare = fault.share;
    }
  }

  /** Power on, or a reset: the relay is at rest, RAM is empty, flash is as it was left. */
  boot(): void {
    this.bootAt = this.clock.now;
    settleCircuit(this.plant, this.clock.now);
    this.controller = newController(this.board(), {
      address: this.spec.address,
      secret: this.spec.secret,
      journalBytes: JOURNAL_BYTES,
      link: { user: '', password: '', jitter: 0.5, ...this.fleet.link },
    });
  }

  /** The board stops at once: the drive is gone, nothing is said. */
  powerOff(): void {
    this.controller = null;
    this.net.close();
    driveRelay(this.plant.relay, false, 0, this.clock.now);
  }

  private board(): BoardPort {
    const plant = this.plant;
    const now = () => this.clock.now;
    return {
      now: () => this.clock.now - this.bootAt,
      linkNow: () => this.linkClock(),
      readInputs: (inputs: Inputs) => this.readInputs(inputs),
      readLamps: (inputs: Inputs, count: number) => {
        for (let i = 0; i < count; i++)
          inputs.lamp[i] = sensorMilliamps(plant.luminaires[i], now(), this.fleet.noise);
      },
      drive: (open: number, leaseUntil: number) => {
        const until = leaseUntil + this.bootAt;
        driveRelay(plant.relay, open === 1 && now() <= until, until, now());
      },
      red: (on: number) => {
        this.red = on;
      },
      sha256,
      entropy: () => next32(this.random),
      bootCause: () => this.bootCause,
      flash: this.flash,
      net: {
        open: () => this.net.open(),
        write: (bytes: string) => {
          this.trace?.wrote(this.clock.now - this.bootAt, bytes);
          this.net.write(bytes);
        },
        close: () => this.net.close(),
      },
    };
  }

  private readInputs(inputs: Inputs): void {
    const t = this.clock.now;
    inputs.supplyA = hasMains(this.plant, t) ? 1 : 0;
    inputs.supplyB = this.plant.supplied ? 1 : 0;
    inputs.aux = this.plant.relay.open ? 1 : 0;
    inputs.occupied = isOccupied(this.plant, t) ? 1 : 0;
    inputs.stop = isStopped(this.plant, t) ? 1 : 0;
    inputs.key = isKeyTurned(this.plant, t) ? 1 : 0;
    const isFitted = ((this.controller?.core.set.fitted ?? 0) & Fitted.Charge) !== 0;
    inputs.charge = isFitted ? circuitChargeMilliamps(this.plant, t) : 0;
  }

  /** Whether `now` is an instant at which the board's loop comes round. */
  private isLoopInstant(): boolean {
    return (this.clock.now - this.bootAt) % LOOP_MS === 0;
  }

  /** Brings plant and controller up to the clock. A power cut in a flash write ends in a reset. */
  run(): void {
    settleCircuit(this.plant, this.clock.now);
    try {
      this.turn();
    } catch (error) {
      if (!(error instanceof PowerCut)) throw error;
      this.flash.bytesUntilCut = Number.POSITIVE_INFINITY;
      this.powerOff();
      this.boot();
    }
    settleCircuit(this.plant, this.clock.now);
  }

  private turn(): void {
    const c = this.controller;
    if (!c) return;
    if (this.linkSimulated) this.net.deliver(this.wireHandlers(c));
    if (!this.isLoopInstant()) return;
    const ms = this.clock.now - this.bootAt;
    this.trace?.beforeTurn(ms, c.core.drive === 1 && ms <= c.core.leaseUntil);
    coreTurn(c);
    this.trace?.turn(ms, c.core.in, c.core.set.lampCount);
    if (this.linkSimulated) linkHalfTurn(c);
  }

  private wireHandlers(c: Controller): WireHandlers {
    const ms = this.clock.now - this.bootAt;
    return {
      opened: () => {
        this.trace?.opened(ms);
        linkOpened(c);
      },
      data: (bytes) => {
        this.trace?.data(ms, bytes);
        linkData(c, bytes);
      },
      closed: () => {
        this.trace?.closed(ms);
        linkClosed(c);
      },
    };
  }

  /** Next simulated instant at which this controller or its circuit has something to do. */
  nextAt(): number {
    const now = this.clock.now;
    const change = circuitChangeAt(this.plant, now);
    if (!this.controller) return change;
    const due = Math.min(
      coreWakeAt(this.controller) + this.bootAt,
      this.linkSimulated ? linkDueAt(this.controller) + this.bootAt : Number.POSITIVE_INFINITY,
    );
    const loop = this.loopInstant(Math.max(due, now + 1));
    // A change of an input is settled when it happens and seen at the loop instant that follows.
    const seen = this.hasUnseenInput() ? this.loopInstant(now + 1) : Number.POSITIVE_INFINITY;
    return Math.min(loop, seen, change, this.net.nextAt());
  }

  private loopInstant(at: number): number {
    return this.bootAt + Math.ceil((at - this.bootAt) / LOOP_MS) * LOOP_MS;
  }

  private hasUnseenInput(): boolean {
    const inputs = this.controller?.core.in;
    if (!inputs) return false;
    const t = this.clock.now;
    return (
      inputs.supplyA !== (hasMains(this.plant, t) ? 1 : 0) ||
      inputs.supplyB !== (this.plant.supplied ? 1 : 0) ||
      inputs.aux !== (this.plant.relay.open ? 1 : 0) ||
      inputs.occupied !== (isOccupied(this.plant, t) ? 1 : 0) ||
      inputs.stop !== (isStopped(this.plant, t) ? 1 : 0) ||
      inputs.key !== (isKeyTurned(this.plant, t) ? 1 : 0)
    );
  }
}
