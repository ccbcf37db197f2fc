// Watches a fleet from outside and checks it against the invariants by what the plant truly does, never by
// what the controller believes. A breach is a plain sentence.
import { Phase, TestKind } from '../../firmware/contract/codes';
import { Limit } from '../../firmware/contract/limits';
import { always } from '../../firmware/core/claims';
import { type Core, isDischarging } from '../../firmware/core/state';
import type { Observer } from '../fleet';
import type { SimulatedController } from '../node';
import { isLitOnBattery, wasLitAt } from '../plant/luminaire';
import { DETECTOR_MS } from '../plant/relay';
import { chargeOf, driftOf, inPermittedWindow, isOwnNight, limitOf, ownSec, SLACK_MS } from './rules';
import { brokenVerdicts } from './verdicts';
import { newWatched, type Watched } from './watched';

/** A plain function test is over this long after its time, ms, or the full recharge is owed. */
const LATE_END_MS = Limit.SampleGapMs + Limit.RestoreProofMs + SLACK_MS;

/** A discharge that continues unchanged is checked again after this long, ms. */
const SOUND_MS = 10000;

/**
 * What neighbours must know of each other: openings, and the recharge owed after a loss of supply, simulated
 * ms.
 */
export interface OpeningListener {
  opened(at: number): void;
  owes(from: number, to: number): void;
}

/** What a watch cannot see for itself, supplied by the runner of the fleet. */
export interface Outside {
  /** How far the controller's clock may rightly be ahead, ms; undefined: any amount. */
  clockOffsets(node: SimulatedController, now: number): number[] | undefined;
  /** What else forbids an opening now, as a sentence, or ''. */
  against(node: SimulatedController, now: number): string;
}

export class Watch implements Observer {
  readonly violations: string[] = [];
  /** Openings of all relays so far. */
  openings = 0;
  private readonly watched = new Map<SimulatedController, Watched>();
  private readonly byCircuit = new Map<string, SimulatedController>();

  constructor(
    private readonly startUtcMs: number,
    private readonly listener?: OpeningListener,
    private readonly outside?: Outside,
  ) {}

  /** Openings of this controller's relay so far. */
  openingsOf(node: SimulatedController): number {
    return this.get(node).openings;
  }

  private lastNode: SimulatedController | undefined;
  private last: Watched = newWatched();

  private get(node: SimulatedController): Watched {
    if (node === this.lastNode) return this.last;
    this.lastNode = node;
    this.last = this.find(node);
    return this.last;
  }

  private find(node: SimulatedController): Watched {
    let w = this.watched.get(node);
    if (!w) {
      w = newWatched();
      this.watched.set(node, w);
      this.byCircuit.set(node.spec.circuit, node);
    }
    return w;
  }

  private breach(node: SimulatedController, now: number, what: string): void {
    if (this.violations.length >= 100) return;
    const at = new Date(this.startUtcMs + now).toISOString();
    this.violations.push(`${node.spec.circuit} at ${at}: ${what}`);
  }

  after(node: SimulatedController, now: number): void {
    const w = this.get(node);
    if (now < w.soundUntil && this.isAsBefore(node, w)) return;
    this.followSupply(node, w, now);
    this.followDrive(node, w, now);
    this.followRestore(node, w, now);
    const core = node.controller?.core;
    w.soundUntil = 0;
    if (!core) return;
    const broken = this.violations.length;
    this.checkClaims(node, core, now);
    if (w.lastPhase === Phase.Restoring && core.phase !== Phase.Restoring)
      for (const what of brokenVerdicts(node, core, w, now)) this.breach(node, now, what);
    w.lastPhase = core.phase;
    if (isDischarging(core) && core.drive === 1 && this.violations.length === broken) {
      w.soundCore = core;
      w.soundUntil = now + SOUND_MS;
    }
  }

  private checkClaims(node: SimulatedController, core: Core, now: number): void {
    const boardNow = node.boardNow();
    for (let i = 0; i < always.length; i++)
      if (!always[i].holds(core, boardNow)) this.breach(node, now, always[i].name);
  }

  /**
   * Whether a discharge continues as it was at the last full check: then only the length of the opening and
   * the lease can break a claim, and they are checked at intervals.
   */
  private isAsBefore(node: SimulatedController, w: Watched): boolean {
    const { plant, controller } = node;
    const core = w.soundCore as Core;
    return (
      controller?.core === core &&
      core.phase === w.lastPhase &&
      core.drive === 1 &&
      core.seenStop === 0 &&
      core.seenKey === 0 &&
      core.outCount === 0 &&
      plant.relay.driven === w.wasDriven &&
      plant.supplied === w.wasSupplied
    );
  }

  /** Tracks what the batteries truly need. */
  private followSupply(node: SimulatedController, w: Watched, now: number): void {
    const supplied = node.plant.supplied;
    if (supplied === w.wasSupplied) return;
    w.wasSupplied = supplied;
    if (!supplied) {
      w.lostAt = now;
      w.lostToTest = node.plant.relay.driven;
      return;
    }
    // A break too short for any sense takes nothing from the batteries.
    if (now - w.lostAt < SLACK_MS) return;
    const owed = this.owedAfter(node, w, now);
    w.owedMs = Math.max(owed, w.owedMs - (now - w.backAt));
    w.backAt = now;
    if (!w.lostToTest) return;
    // What keeps the supply away after a test is known only to this controller.
    const releasedAt = w.wasDriven ? now : w.releasedAt;
    const over = Math.min(now, releasedAt + Limit.OpenGraceSec * 1000);
    // Own hours are short, so there not even the longer recharge after it can count.
    const isOwn = isOwnNight(node.spec.rules, this.utcAt(w.lostAt));
    w.testOwedUntil = over + (isOwn ? owed : this.owedAfter(node, w, releasedAt));
    this.listener?.owes(w.lostAt, w.testOwedUntil - SLACK_MS);
  }

  /**
   * Recharge owed after a loss of supply that lasts until `until`, ms: little after a plain function test, whose
   * last reading and whose restore may each take as long as they are given.
   */
  private owedAfter(node: SimulatedController, w: Watched, until: number): number {
    const { briefSec, briefRechargeSec, rechargeSec } = node.spec.rules;
    const isShort = w.drivenKind === TestKind.Brief && until - w.lostAt <= briefSec * 1000 + LATE_END_MS;
    return 1000 * (isShort ? briefRechargeSec : rechargeSec);
  }

  private followDrive(node: SimulatedController, w: Watched, now: number): void {
    const driven = node.plant.relay.driven;
    if (this.followExercise(node, w, now)) return;
    if (driven && !w.wasDriven) {
      w.drivenAt = now;
      w.drivenKind = node.controller?.core.kind ?? TestKind.None;
      w.openings++;
      this.openings++;
      this.listener?.opened(now);
      this.checkOpening(node, w, now);
    }
    if (driven) this.checkLength(node, w, now);
    if (!driven && w.wasDriven) {
      w.releasedAt = now;
      // A welded contact has discharged nothing.
      const owedMs = w.wasSupplied ? 0 : this.owedAfter(node, w, now);
      if (node.controller && !this.isPermitted(node, w, now - SLACK_MS, owedMs))
        this.breach(node, now, 'I2 a test reached past its window');
      w.litAtEnd = node.plant.luminaires.map((l) => isLitOnBattery(l, now));
      // The last reading of a bus takes its time: a lamp may go out after its end and before the release.
      w.litAtOwnEnd = node.plant.luminaires.map((l) => {
        const requiredSec = ownSec(node.spec.rules, w.drivenKind, l.spec.ratedSec);
        return wasLitAt(l, w.lostAt + requiredSec * 1000, now);
      });
    }
    w.wasDriven = driven;
  }

  private checkLength(node: SimulatedController, w: Watched, now: number): void {
    const mostSec = limitOf(node.spec.rules, w.drivenKind) + Limit.OpenGraceSec;
    if (now - w.drivenAt > mostSec * 1000 * (1 + driftOf(node)) + DETECTOR_MS)
      this.breach(node, now, `I1 the relay has been held open for more than ${mostSec} s`);
  }

  /**
   * The one exception to I1 and I2: a contact that has been open by itself for as long as the restore may
   * take may have its coil exercised, three times for a second each, while that can harm nobody.
   * @returns whether the coil is driven for that
   */
  private followExercise(node: SimulatedController, w: Watched, now: number): boolean {
    const driven = node.plant.relay.driven;
    // Judged by what it has read, not by the contact: with a chattering contact or a turned key it cannot
    // know.
    if (node.controller?.core.in.supplyB) {
      w.readLiveAt = now;
      w.exercises = 0;
    }
    const isMissed = now - Math.max(w.readLiveAt, node.bootAt) >= Limit.RestoreProofMs;
    if (driven && !w.wasDriven && isMissed) {
      w.exercisedAt = now;
      w.exercises++;
      if (w.exercises > Limit.Exercises) this.breach(node, now, 'I6 the coil is exercised too often');
    }
    if (w.exercisedAt < 0) return false;
    w.wasDriven = driven;
    if (!driven) {
      w.exercisedAt = -1;
      return true;
    }
    if (now - w.exercisedAt > Limit.ExerciseMs + DETECTOR_MS)
      this.breach(node, now, 'I6 the coil is exercised for too long');
    const inputs = node.controller?.core.in;
    if (inputs && (inputs.stop || inputs.key || !inputs.supplyA || inputs.supplyB))
      this.breach(node, now, 'I6 the coil is exercised with stop or key active, or with nothing to free');
    return true;
  }

  private utcAt(now: number): number {
    return Math.floor((this.startUtcMs + now) / 1000);
  }

  /**
   * Whether a discharge that owes so much recharge is permitted at `now`, or at the time the controller may rightly
   * believe it to be.
   */
  private isPermitted(node: SimulatedController, w: Watched, now: number, owedMs: number): boolean {
    const ahead = this.outside ? this.outside.clockOffsets(node, now) : [0];
    const { rules } = node.spec;
    const isAt = (off: number) =>
      inPermittedWindow(rules, this.utcAt(now + off), w.drivenKind, owedMs / 1000);
    return ahead === undefined || ahead.some(isAt);
  }

  /** I2 and I7 at the instant the coil is first driven. */
  private checkOpening(node: SimulatedController, w: Watched, now: number): void {
    const rules = node.spec.rules;
    const inputs = node.controller?.core.in;
    const sure = 1 - driftOf(node);
    if (!this.isPermitted(node, w, now, rules.briefRechargeSec * 1000))
      this.breach(node, now, 'I2 opened outside a permitted window');
    const isFirst = w.drivenKind === TestKind.Commissioning;
    if (w.wasSupplied && !isFirst && now - w.backAt < w.owedMs * sure - SLACK_MS)
      this.breach(node, now, 'I2 opened before the batteries were recharged');
    if (now - w.backAt < chargeOf(rules, w.drivenKind) * 1000 * sure - SLACK_MS)
      this.breach(node, now, 'I2 a full test without an unbroken recharge before it');
    if (!w.wasSupplied) this.breach(node, now, 'I2 opened while the luminaires had no supply');
    if (inputs?.stop || inputs?.key) this.breach(node, now, 'I2 opened with stop or key active');
    const more = this.outside?.against(node, now) ?? '';
    if (more !== '') this.breach(node, now, more);
    w.wasMisled = this.isMisled(node, now);
    for (const id of node.spec.neighbours) this.checkNeighbour(node, id, now);
  }

  /** A controller given a wrong time may take another's night for its own. */
  private isMisled(node: SimulatedController, now: number): boolean {
    const ahead = this.outside ? this.outside.clockOffsets(node, now) : [];
    return ahead === undefined || ahead.some((off) => off !== 0);
  }

  private checkNeighbour(node: SimulatedController, id: string, now: number): void {
    const other = this.byCircuit.get(id);
    const w = other && this.watched.get(other);
    if (!other || !w || w.wasMisled || this.isMisled(node, now) || this.isMisled(other, now)) return;
    const isDark = w.lostToTest && !w.wasSupplied && (w.wasDriven || now - w.releasedAt < SLACK_MS);
    if (isDark || now < w.testOwedUntil - SLACK_MS)
      this.breach(node, now, `I7 opened while its neighbour ${id} is discharged or recharging`);
  }

  /** I6: with the drive gone and mains present, a supply not back after 5 s must be shown. */
  private followRestore(node: SimulatedController, w: Watched, now: number): void {
    const plant = node.plant;
    // An exercise changes nothing: the contact was open before it.
    const missing = plant.relay.open && (!plant.relay.driven || w.exercisedAt >= 0);
    if (!missing) w.unprovenSince = -1;
    else if (w.unprovenSince < 0) w.unprovenSince = now;
    // A controller that has just started, or could have no turn while it connected, must look first.
    const since = Math.max(w.unprovenSince, node.bootAt, node.stop.to);
    const late = missing && now - since > Limit.RestoreProofMs + 1000;
    if (late && node.controller && node.red === 0)
      this.breach(node, now, 'I6 the supply is not back and the red lamp is dark');
    if (node.controller && node.controller.core.boot !== w.boot) {
      w.boot = node.controller.core.boot;
      if (plant.relay.driven) this.breach(node, now, 'I3 the relay is driven during start-up');
    }
  }
}
