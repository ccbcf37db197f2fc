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
import { plantFault } from './faults';
import { PowerCut, SimulatedFlash } from './flash';
import type { SimulatedNet, WireHandlers } from './network';
import {
  type BoardChange,
  boardMs,
  newBoardPlant,
  restartCounter,
  settleBoard,
  simulatedAt,
} from './plant/board';
import {
  type CircuitPlant,
  circuitChangeAt,
  circuitChargeMilliamps,
  isKeyTurned,
  isOccupied,
  isStopped,
  newCircuitPlant,
  sensesLive,
  sensesSupply,
  settleCircuit,
} from './plant/circuit';
import { sensorMilliamps } from './plant/luminaire';
import { driveRelay } from './plant/relay';
import { fork, next32, type Random } from './random';
import type { ControllerSpec, FleetSpec } from './spec';
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
  /** What befalls the board from outside. */
  readonly boardPlant = newBoardPlant();
  readonly flash: SimulatedFlash;
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
    readonly fleet: FleetSpec,
    private readonly clock: SimulationClock,
    net: SimulatedNet,
  ) {
    this.net = net;
    this.random = fork(fleet.seed, spec.address);
    this.plant = newCircuitPlant(spec.circuit, spec.lamps, fleet.seed);
    this.plant.outages = spec.outages.slice();
    this.plant.visits = spec.visits.slice();
    this.flash = new SimulatedFlash(clock);
    for (const fault of spec.faults) plantFault(this, fault);
    this.linkClock = () => this.boardNow();
  }

  /** The board's monotonic counter, whole ms since its start. */
  boardNow(): number {
    return boardMs(this.boardPlant, this.clock.now);
  }

  /** Power on, or a reset: the relay is at rest, RAM is empty, flash is as it was left. */
  boot(): void {
    this.bootAt = this.clock.now;
    restartCounter(this.boardPlant, this.bootAt);
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
      now: () => this.boardNow(),
      linkNow: () => this.linkClock(),
      readInputs: (inputs: Inputs) => this.readInputs(inputs),
      readLamps: (inputs: Inputs, count: number) => {
        for (let i = 0; i < count; i++)
          inputs.lamp[i] = sensorMilliamps(plant.luminaires[i], now(), this.fleet.noise);
      },
      drive: (open: number, leaseUntil: number) => {
        const until = simulatedAt(this.boardPlant, leaseUntil);
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
          this.trace?.wrote(this.boardNow(), bytes);
          this.net.write(bytes);
        },
        close: () => this.net.close(),
      },
    };
  }

  private readInputs(inputs: Inputs): void {
    const t = this.clock.now;
    inputs.supplyA = sensesSupply(this.plant, t) ? 1 : 0;
    inputs.supplyB = sensesLive(this.plant, t) ? 1 : 0;
    inputs.aux = this.plant.relay.open ? 1 : 0;
    inputs.occupied = isOccupied(this.plant, t) ? 1 : 0;
    inputs.stop = isStopped(this.plant, t) ? 1 : 0;
    inputs.key = isKeyTurned(this.plant, t) ? 1 : 0;
    const isFitted = ((this.controller?.core.set.fitted ?? 0) & Fitted.Charge) !== 0;
    inputs.charge = isFitted ? circuitChargeMilliamps(this.plant, t) : 0;
  }

  /** Whether `now` is an instant at which the board's loop comes round. */
  private isLoopInstant(): boolean {
    const turn = Math.floor(this.boardNow() / LOOP_MS) * LOOP_MS;
    return simulatedAt(this.boardPlant, turn) === this.clock.now;
  }

  /** Brings plant and controller up to the clock. A power cut in a flash write ends in a reset. */
  run(): void {
    if (this.clock.now >= this.boardPlant.changeAt) this.suffer(settleBoard(this.boardPlant, this.clock.now));
    settleCircuit(this.plant, this.clock.now);
    try {
      this.turn();
    } catch (error) {
      if (!(error instanceof PowerCut)) throw error;
      this.restart();
    }
    settleCircuit(this.plant, this.clock.now);
  }

  /** Goes on with empty RAM, as often as the power goes again while it starts. */
  private restart(): void {
    for (;;) {
      this.flash.bytesUntilCut = Number.POSITIVE_INFINITY;
      this.powerOff();
      try {
        this.boot();
        return;
      } catch (error) {
        if (!(error instanceof PowerCut)) throw error;
      }
    }
  }

  private suffer(change: BoardChange): void {
    if (change === 'boot') this.restart();
    else if (change === 'off') this.powerOff();
    else if (change === 'hang') {
      // The program is as good as gone, but its last pulse holds the coil for a moment.
      const relay = this.plant.relay;
      relay.drivenUntil = Math.min(relay.drivenUntil, this.clock.now);
      this.controller = null;
      this.net.close();
    }
  }

  private turn(): void {
    const c = this.controller;
    if (!c) return;
    if (this.linkSimulated) this.net.deliver(this.wireHandlers(c));
    if (!this.isLoopInstant()) return;
    const ms = this.boardNow();
    this.trace?.beforeTurn(ms, c.core.drive === 1 && ms <= c.core.leaseUntil);
    coreTurn(c);
    this.trace?.turn(ms, c.core.in, c.core.set.lampCount);
    if (this.linkSimulated) linkHalfTurn(c);
  }

  private wireHandlers(c: Controller): WireHandlers {
    const ms = this.boardNow();
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
    const change = Math.min(circuitChangeAt(this.plant, now), this.boardPlant.changeAt);
    if (!this.controller) return change;
    const due = Math.min(
      simulatedAt(this.boardPlant, coreWakeAt(this.controller)),
      this.linkSimulated
        ? simulatedAt(this.boardPlant, linkDueAt(this.controller))
        : Number.POSITIVE_INFINITY,
    );
    const loop = this.loopInstant(Math.max(due, now + 1));
    // A change of an input is settled when it happens and seen at the loop instant that follows.
    const seen = this.hasUnseenInput() ? this.loopInstant(now + 1) : Number.POSITIVE_INFINITY;
    return Math.min(loop, seen, change, this.net.nextAt());
  }

  private loopInstant(at: number): number {
    const turn = Math.floor(boardMs(this.boardPlant, at) / LOOP_MS) * LOOP_MS;
    const begun = simulatedAt(this.boardPlant, turn);
    return begun >= at ? begun : simulatedAt(this.boardPlant, turn + LOOP_MS);
  }

  private hasUnseenInput(): boolean {
    const inputs = this.controller?.core.in;
    if (!inputs) return false;
    const t = this.clock.now;
    return (
      inputs.supplyA !== (sensesSupply(this.plant, t) ? 1 : 0) ||
      inputs.supplyB !== (sensesLive(this.plant, t) ? 1 : 0) ||
      inputs.aux !== (this.plant.relay.open ? 1 : 0) ||
      inputs.occupied !== (isOccupied(this.plant, t) ? 1 : 0) ||
      inputs.stop !== (isStopped(this.plant, t) ? 1 : 0) ||
      inputs.key !== (isKeyTurned(this.plant, t) ? 1 : 0)
    );
  }
}
