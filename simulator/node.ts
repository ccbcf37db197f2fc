// A simulated controller: the very same controller code on a modelled board, circuit and wire.
import { Ending, Fitted, Phase, SelfTest } from '../firmware/contract/codes';
import { useOwnRows } from '../firmware/contract/fields';
import { Limit } from '../firmware/contract/limits';
import { useOwnDigests } from '../firmware/contract/signature';
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
  mayStandStill,
  newController,
} from '../firmware/controller';
import { type Inputs, Read } from '../firmware/core/inputs';
import { takeLooks } from '../firmware/core/skip';
import { type Core, isAtRest, isDischarging, Stage } from '../firmware/core/state';
import { useOwnCrcHex } from '../firmware/journal/crc32';
import type { BoardPort } from '../firmware/ports';
import { crcHex, linkOf, sha256, tagOf } from './digest';
import { plantFault } from './faults';
import { PowerCut, SimulatedFlash } from './flash';
import {
  addResets,
  type BoardChange,
  boardMs,
  foundByItself,
  newBoardPlant,
  restartCounter,
  settleBoard,
  simulatedAt,
} from './plant/board';
import { LampBus } from './plant/bus';
import { type CircuitPlant, newCircuitPlant, readLampSensors } from './plant/circuit';
import { newClockChip, readClockChip, setClockChip } from './plant/clockChip';
import { DETECTOR_MS } from './plant/relay';
import type { Span } from './plant/spans';
import { passOverReadings } from './quiet';
import { fork, next32, type Random } from './random';
import { isRestLinkDue, restLinkAt, restWakeAt } from './rest';
import { readRowQuickly } from './rows';
import { Senses } from './senses';
import type { ControllerSpec, FleetSpec } from './spec';
import type { Trace } from './trace';
import type { SimulatedNet, WireHandlers } from './wire';

export interface SimulationClock {
  /** Simulated ms since the start of the simulation. */
  now: number;
}

/** Bytes of one journal file: a page count that the smallest supported board can provide twice. */
const JOURNAL_BYTES = 65536;

if (crcHex) useOwnCrcHex(crcHex);
useOwnRows(readRowQuickly);
useOwnDigests({ tag: tagOf, link: linkOf });

/** Whether the drive pin is given pulses. */
function isPulsed(core: Core): boolean {
  return core.drive === 1 || core.ending === Ending.Enable;
}

/** Whether the lamps are read on mains before an opening, and the link has no turn. */
function isLooking(core: Core): boolean {
  return core.phase === Phase.Opening && core.stage === Stage.LookingOnMains && core.outCount === 0;
}

export class SimulatedController {
  readonly plant: CircuitPlant;
  /** What happens to the board from outside. */
  readonly boardPlant = newBoardPlant();
  readonly flash: SimulatedFlash;
  /** Null while the board has no power. */
  controller: Controller | null = null;
  red = 0;
  bootAt = 0;
  boots = 0;
  /** The last time a connection stopped the loop, simulated ms. */
  stop: Span = { from: -1, to: -1 };
  /** Cause the board will report at its next start. */
  bootCause = 0;
  /** Clock for the link's timeouts; the simulated one unless a real network is used. */
  linkClock: () => number;
  /** False where a real network drives the link's half of the turn. */
  linkSimulated = true;
  net: SimulatedNet;
  /** Set before the boot, it records all inputs and outputs of this controller. */
  trace: Trace | undefined;
  private readonly random: Random;
  private readonly senses: Senses;

  constructor(
    readonly spec: ControllerSpec,
    readonly fleet: FleetSpec,
    private readonly clock: SimulationClock,
    net: SimulatedNet,
  ) {
    this.net = net;
    this.random = fork(fleet.seed, spec.address);
    this.plant = newCircuitPlant(spec.circuit, spec.lamps, fleet.seed);
    this.senses = new Senses(this.plant);
    this.plant.outages = spec.outages.slice();
    this.plant.visits = spec.visits.slice();
    this.flash = new SimulatedFlash(clock);
    if (spec.clockChip) this.boardPlant.clockChip = newClockChip(spec.clockChip.ppm);
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
    this.boots++;
    this.stop = { from: -1, to: -1 };
    restartCounter(this.boardPlant, this.bootAt);
    this.touch();
    this.senses.settle(this.bootAt);
    try {
      this.controller = newController(this.board(), {
        address: this.spec.address,
        secret: this.spec.secret,
        journalBytes: JOURNAL_BYTES,
        link: { user: '', password: '', jitter: 0.5, ...this.fleet.link },
      });
    } catch (error) {
      if (!(error instanceof Error) || !error.message.startsWith('The journal')) throw error;
      this.awaitWatchdog();
    }
  }

  /** A program that cannot start feeds no watchdog: the board starts it again. */
  private awaitWatchdog(): void {
    this.powerOff();
    addResets(this.boardPlant, this.clock.now + Limit.WatchdogSec * 1000);
  }

  /** The board stops at once: the drive is gone, nothing is sent. */
  powerOff(): void {
    this.controller = null;
    this.net.close();
    this.senses.drive(false, 0, this.clock.now);
  }

  private board(): BoardPort {
    const { plant, senses, clock } = this;
    const chip = this.boardPlant.clockChip;
    // The driver's memory: empty at each start.
    const bus = this.spec.bus && new LampBus(this.spec.bus, plant, fork(this.fleet.seed, `bus ${plant.id}`));
    const node = this;
    return {
      now: () => this.boardNow(),
      linkNow: () => this.linkClock(),
      readInputs: (inputs: Inputs) => senses.read(inputs, clock.now, this.isChargeFitted()),
      readLamps: (inputs: Inputs, count: number, since: number) => {
        const { now } = clock;
        const { noise } = this.fleet;
        if (bus) return bus.read(inputs.lamp, count, since, this.boardNow(), now, noise);
        readLampSensors(plant, now, noise, inputs.lamp, count);
        return Read.All;
      },
      drive: (open: number, leaseUntil: number, ending: Ending) =>
        senses.drive(open === 1, simulatedAt(this.boardPlant, leaseUntil), clock.now, ending),
      red: (on: number) => {
        this.red = on;
      },
      sha256,
      entropy: () => next32(this.random),
      bootCause: () => this.bootCause,
      chipTime: () => (chip ? readClockChip(chip, clock.now) : -1),
      setChipTime: (utcSec: number) => (chip ? setClockChip(chip, utcSec, clock.now) : 0),
      selfTest: () => foundByItself(this.boardPlant, clock.now),
      flash: this.flash,
      net: {
        // The network may be exchanged while the controller runs.
        get stops() {
          return node.net.stops;
        },
        isReady: () => this.net.isReady(),
        open: () => this.connect(),
        write: (bytes: string) => {
          this.trace?.wrote(this.boardNow(), bytes);
          this.net.write(bytes);
        },
        close: () => this.net.close(),
      },
    };
  }

  /** Connecting: until it returns, the loop has no turn and the coil no pulse. */
  private connect(): void {
    const { now } = this.clock;
    const stopMs = this.net.stopMs();
    this.net.open();
    if (stopMs === 0) return;
    const watchdogMs = Limit.ConnectSec * 1000;
    this.stop = { from: now, to: now + Math.min(stopMs, watchdogMs) };
    this.senses.drive(false, 0, now);
    if (stopMs > watchdogMs) addResets(this.boardPlant, this.stop.to);
  }

  private isChargeFitted(): boolean {
    return ((this.controller?.core.set.fitted ?? 0) & Fitted.Charge) !== 0;
  }

  /** Something outside has touched the circuit, or is about to. */
  touch(): void {
    this.senses.touch();
  }

  /** Whether `now` is an instant of the board's loop. */
  private isLoopInstant(): boolean {
    const turn = Math.floor(this.boardNow() / LOOP_MS) * LOOP_MS;
    return simulatedAt(this.boardPlant, turn) === this.clock.now;
  }

  /** Brings plant and controller up to the clock. A power cut during a flash write ends in a reset. */
  run(): void {
    const now = this.clock.now;
    if (now >= this.boardPlant.changeAt) this.suffer(settleBoard(this.boardPlant, now));
    this.senses.settle(now);
    try {
      this.turn();
    } catch (error) {
      if (!(error instanceof PowerCut)) throw error;
      this.restart();
    }
    this.senses.settle(now);
  }

  /**
   * Runs the turns of a discharge, as `run` would, for as long as nothing but the lamps changes.
   * @param until simulated ms
   * @param after called after each turn
   * @param leavesOut skips readings that change nothing (see quiet.ts)
   */
  runDischarge(
    until: number,
    after: (node: SimulatedController, now: number) => void,
    leavesOut: boolean,
  ): void {
    const { controller: c, boardPlant: b, clock } = this;
    if (!c || b.ppm !== 0 || this.trace || !this.fleet.isSparing || !isDischarging(c.core)) return;
    const end = Math.min(until + 1, this.senses.stillFor(), b.changeAt, this.net.nextAt());
    const { core } = c;
    const { relay } = this.plant;
    const start = b.since - b.base;
    let ms = Math.floor((clock.now - start) / LOOP_MS) * LOOP_MS;
    // A waiting record is written in the very next turn.
    while (core.outCount === 0) {
      // A core that wants another step at once has to wait for the next turn.
      ms = Math.max(ms + LOOP_MS, Math.ceil(core.wakeAt / LOOP_MS) * LOOP_MS);
      const at = start + ms;
      if (at >= end || at >= relay.drivenUntil + DETECTOR_MS) return;
      clock.now = at;
      coreTurn(c);
      const isOver = !relay.driven || !isDischarging(core);
      if (isOver) this.senses.settle(at);
      after(this, at);
      if (isOver) return;
      // On a bus a reading takes its time, and its line is used by each one.
      if (leavesOut && !this.spec.bus) ms = this.leaveOut(core, ms, start, end);
    }
  }

  /**
   * Runs the turns of a look on mains, as `run` would, for as long as nothing but the lamps changes: noisy sensors are
   * read two hundred times.
   * @param until simulated ms
   * @param after called after each turn
   * @param leavesOut takes readings without a turn around them (see core/skip.ts)
   */
  runLook(until: number, after: (node: SimulatedController, now: number) => void, leavesOut: boolean): void {
    const { controller: c, boardPlant: b, clock } = this;
    if (!c || b.ppm !== 0 || this.trace || !this.fleet.isSparing || clock.now < this.stop.to) return;
    const { core } = c;
    if (!isLooking(core)) return;
    const end = Math.min(until + 1, this.senses.changeAt(clock.now), b.changeAt, this.net.nextAt());
    const start = b.since - b.base;
    let ms = Math.floor((clock.now - start) / LOOP_MS) * LOOP_MS;
    while (isLooking(core)) {
      ms = Math.max(ms + LOOP_MS, Math.ceil(core.wakeAt / LOOP_MS) * LOOP_MS);
      if (start + ms >= end) return;
      clock.now = start + ms;
      coreTurn(c);
      if (!isLooking(core)) this.senses.settle(clock.now);
      after(this, clock.now);
      if (leavesOut && !this.spec.bus) ms = this.lookOn(core, ms, start, end);
    }
  }

  /** @returns board's ms of the last reading on mains taken after the turn at `ms` */
  private lookOn(core: Core, ms: number, start: number, end: number): number {
    const { plant, fleet } = this;
    return takeLooks(core, ms, end - start, (at) =>
      readLampSensors(plant, start + at, fleet.noise, core.in.lamp, core.set.lampCount),
    );
  }

  /** @returns board's ms of the last reading skipped after the turn at `ms` */
  private leaveOut(core: Core, ms: number, start: number, end: number): number {
    const last = passOverReadings(core, this.plant, ms, start, end, this.fleet.noise);
    if (last !== ms) this.senses.drive(true, start + core.leaseUntil, start + last);
    return last;
  }

  /** Continues with empty RAM, as often as the power fails during its start. */
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
      this.touch();
      this.controller = null;
      this.net.close();
    }
  }

  private turn(): void {
    const c = this.controller;
    if (!c || this.clock.now < this.stop.to) return;
    if (this.linkSimulated) this.net.deliver(this.wireHandlers);
    if (!this.isLoopInstant()) return;
    const ms = this.boardNow();
    this.trace?.beforeTurn(ms, isPulsed(c.core) && ms <= c.core.leaseUntil);
    coreTurn(c);
    this.trace?.turn(ms, c.core.in, c.core.set.lampCount);
    if (this.linkSimulated && this.isLinkTurn(c, ms)) linkHalfTurn(c);
  }

  private isLinkTurn(c: Controller, ms: number): boolean {
    return !this.fleet.isSparing || isRestLinkDue(c, ms);
  }

  /** Called by the wire; does nothing while the board is down. */
  private readonly wireHandlers: WireHandlers = {
    opened: () => {
      this.trace?.opened(this.boardNow());
      if (this.controller) linkOpened(this.controller);
    },
    data: (bytes) => {
      this.trace?.data(this.boardNow(), bytes);
      if (this.controller) linkData(this.controller, bytes);
    },
    closed: () => {
      this.trace?.closed(this.boardNow());
      if (this.controller) linkClosed(this.controller);
    },
  };

  /** Next simulated instant at which this controller or its circuit has something to do. */
  nextAt(): number {
    const now = this.clock.now;
    const change = Math.min(this.senses.changeAt(now), this.boardPlant.changeAt);
    if (!this.controller) return change;
    const next = Math.max(now + 1, this.stop.to);
    const due = simulatedAt(this.boardPlant, this.dueAt(this.controller));
    const loop = this.loopInstant(Math.max(due, next));
    // A change of an input is settled when it happens and seen at the loop instant that follows.
    const seen = this.senses.hasNews(this.controller.core.in, now)
      ? this.loopInstant(next)
      : Number.POSITIVE_INFINITY;
    return Math.min(loop, seen, change, Math.max(this.net.nextAt(), this.stop.to));
  }

  /** When core or link have something to do, board's ms. */
  private dueAt(c: Controller): number {
    // Self-tests find nothing in a sound board, so they need no turn of their own.
    const isAiling = foundByItself(this.boardPlant, this.clock.now) !== SelfTest.None;
    // One that waits for the flash, or for a test near by, is not due every turn.
    const isWanted = isAiling && isAtRest(c.core) && mayStandStill(c);
    return Math.min(isWanted ? c.selfTestAt : Number.POSITIVE_INFINITY, this.workAt(c));
  }

  private workAt(c: Controller): number {
    if (!this.fleet.isSparing)
      return this.linkSimulated ? Math.min(coreWakeAt(c), linkDueAt(c)) : coreWakeAt(c);
    const coreAt = restWakeAt(c, this.boardNow());
    return this.linkSimulated ? Math.min(coreAt, restLinkAt(c, coreAt)) : coreAt;
  }

  private loopInstant(at: number): number {
    const turn = Math.floor(boardMs(this.boardPlant, at) / LOOP_MS) * LOOP_MS;
    const begun = simulatedAt(this.boardPlant, turn);
    return begun >= at ? begun : simulatedAt(this.boardPlant, turn + LOOP_MS);
  }
}
