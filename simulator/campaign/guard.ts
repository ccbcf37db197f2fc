// Checks a run against what the watch of a fleet cannot know: what the controllers' journals have written,
// the plan stored in each flash, the times the host gave, and people in an area that must be empty.

import { Phase } from '../../firmware/contract/codes';
import { intField, textField } from '../../firmware/contract/fields';
import { Limit } from '../../firmware/contract/limits';
import type { Core } from '../../firmware/core/state';
import { fileName } from '../../firmware/journal/journal';
import { PLAN_FILE } from '../../firmware/link/inbox';
import { driftOf } from '../checkers/rules';
import type { Outside } from '../checkers/watch';
import type { FaultSpec } from '../faults';
import type { Observer } from '../fleet';
import type { SimulatedController } from '../node';
import { hasMains, isKeyTurned, isOccupied, sensesLive } from '../plant/circuit';
import type { CampaignHost, Served } from './host';
import { DAY_MS, START_UTC_MS } from './site';

/** Allowance for the loop's period within which an input must have been seen, ms. */
const SEEN_MS = 1000;
/** A test must have ended this long after someone enters a shared area, ms. */
const LEAVE_MS = 3000;
/** A supply gap this short has certainly not settled, ms. */
const DIP_MS = 400;
/**
 * More events of one controller in a day than any sequence of faults explains: a three-hour test has about
 * 10,000.
 */
const RESTLESS = 150_000;
const NEVER = Number.NEGATIVE_INFINITY;

interface Guarded {
  served: Served;
  /** Newest record written to each journal this controller has had. */
  written: Map<string, number>;
  journal: string;
  last: number;
  /** Which journal file is in use, counted from 1, and the newest record of the file before it. */
  generation: number;
  olderLast: number;
  boot: number;
  bootAt: number;
  plan: number;
  isOccupied: boolean;
  cameAt: number;
  leftAt: number;
  /**
   * Since when mains has been lost, and since when the senses have seen supply behind a driven relay; -1:
   * not.
   */
  mainsLostAt: number;
  shutAt: number;
  /** When anything was last true other than a contact stuck open before a steady supply. */
  soundAt: number;
  isStuck: boolean;
  /** Successive supply dips as seen by the controller, too short to settle; the last fall and rise. */
  dips: number;
  wasGiven: number;
  fellAt: number;
  roseAt: number;
  /** Until when these dips forbid a test. */
  unsteadyUntil: number;
  /**
   * The controller's clock as it was, UTC ms minus its own time, NaN: not set; and when it was last compared
   * with an answer.
   */
  clockBase: number;
  anchorAt: number;
  /** Events so far today. */
  day: number;
  events: number;
}

/** Whether a test drives the coil, as opposed to an exercise of a stuck contact. */
function isTesting(core: Core): boolean {
  return core.phase === Phase.Opening || core.phase === Phase.Brief || core.phase === Phase.Full;
}

/** Whether the controller carries on as if all were well. */
function isUnawares(core: Core | undefined): boolean {
  const phase = core?.phase;
  return phase === Phase.Charged || phase === Phase.Recharging || phase === Phase.Restoring;
}

/**
 * Whether, by the controller's own account, an answer has recently contradicted the clock and none has come
 * since.
 */
function isInDoubt(node: SimulatedController): boolean {
  const core = node.controller?.core;
  return !!core && core.doubtAt > 0 && node.boardNow() - core.doubtAt < Limit.ClockDoubtMs;
}

/** Whether a network fault has been in force within the last day. */
function isImpaired(node: SimulatedController, now: number): boolean {
  const w = node.net.impairments;
  const all = w ? [w.partitions, w.delays, w.losses, w.duplications, w.reorderings].flat() : [];
  return all.some(({ from, to }) => from <= now && to > now - DAY_MS);
}

export class Guard implements Observer, Outside {
  private readonly guarded = new Map<SimulatedController, Guarded>();

  constructor(
    private readonly host: CampaignHost,
    private readonly breach: (circuit: string, sentence: string) => void,
  ) {}

  private get(node: SimulatedController): Guarded {
    let g = this.guarded.get(node);
    if (!g) {
      g = {
        served: this.host.of(node),
        written: new Map(),
        journal: '',
        last: 0,
        generation: 0,
        olderLast: 0,
        boot: 0,
        bootAt: 0,
        plan: 0,
        isOccupied: false,
        cameAt: NEVER,
        leftAt: NEVER,
        mainsLostAt: -1,
        shutAt: -1,
        soundAt: 0,
        isStuck: false,
        dips: 0,
        wasGiven: 1,
        fellAt: NEVER,
        roseAt: NEVER,
        unsteadyUntil: NEVER,
        clockBase: Number.NaN,
        anchorAt: 0,
        day: 0,
        events: 0,
      };
      this.guarded.set(node, g);
      node.flash.onAppend = (text) => this.heardWrite(node, text);
    }
    return g;
  }

  after(node: SimulatedController, now: number): void {
    const g = this.get(node);
    const day = Math.floor(now / DAY_MS);
    g.events = g.day === day ? g.events + 1 : 0;
    g.day = day;
    // Acknowledgements that overtake each other make the controller resend everything while they last.
    if (g.events > RESTLESS && !isImpaired(node, now))
      this.breach(node.spec.circuit, 'controller and host talk without end, or the controller never sleeps');
    if (g.served.circuit.settings.shared) this.followPeople(node, g, now);
    this.followSupply(node, g, now);
    const c = node.controller;
    if (!c) return;
    if (c.core.outCount >= Limit.QueuedRecords) g.served.openings.isUnsure = true;
    if (c.journal.last !== g.last || c.journal.id !== g.journal) {
      if (c.journal.id !== g.journal) g.served.openings.forget(g.last);
      else if (c.journal.generation !== g.generation) g.served.openings.forget(g.olderLast);
      g.last = c.journal.last;
      g.journal = c.journal.id;
      g.generation = c.journal.generation;
      g.olderLast = c.journal.olderLast;
      g.written.set(g.journal, Math.max(g.last, g.written.get(g.journal) ?? 0));
    }
    if (node.bootAt !== g.bootAt) this.restarted(node, g, now);
    if (c.core.boot !== g.boot || c.core.planRevision !== g.plan) {
      // A plan that the flash did not keep is sent again, and what was done of it is no longer known.
      if (c.core.boot !== g.boot && c.core.planRevision !== g.plan)
        g.served.openings.forget(Number.POSITIVE_INFINITY);
      g.boot = c.core.boot;
      g.plan = c.core.planRevision;
      node.spec.rules.planUntil = this.planUntil(node, g);
    }
    this.followDips(node, g, c.core, now);
    this.followClock(node, g, c.core, now);
  }

  /**
   * The controller has restarted: it knows of no dips, has no clock, and forgets what its flash lied about.
   */
  private restarted(node: SimulatedController, g: Guarded, now: number): void {
    const isLie = (f: FaultSpec) => f.kind === 'lying write' && f.at <= now && f.repairedAt > g.bootAt;
    if (node.spec.faults.some(isLie)) g.served.openings.forget(Number.POSITIVE_INFINITY);
    g.bootAt = node.bootAt;
    g.dips = 0;
    g.unsteadyUntil = NEVER;
    g.clockBase = Number.NaN;
  }

  /** While the supply keeps dipping, no test may start or continue. */
  private followDips(node: SimulatedController, g: Guarded, core: Core, now: number): void {
    const given = core.in.supplyA;
    if (given !== g.wasGiven) {
      if (!given) g.fellAt = now;
      else if (now - g.fellAt < DIP_MS) {
        g.dips = now - g.roseAt < Limit.DipSpanMs - SEEN_MS ? g.dips + 1 : 1;
        g.roseAt = now;
        if (g.dips >= Limit.UnsteadyDips) g.unsteadyUntil = now + Limit.SteadyMs - SEEN_MS;
      }
      g.wasGiven = given;
    }
    if (node.plant.relay.driven && now < g.unsteadyUntil && now - g.roseAt > LEAVE_MS && isTesting(core))
      this.breach(node.spec.circuit, 'I2 a test goes on, or has begun, on an unsteady supply');
  }

  /** A clock that contradicts an answer accepts only an answer that is repeated. */
  private followClock(node: SimulatedController, g: Guarded, core: Core, now: number): void {
    const base = core.clockSet ? core.utcBase : Number.NaN;
    const honest = 2 * Limit.TimeAnswerMs + ((node.boardNow() - g.anchorAt) * Limit.DriftPpm) / 1e6;
    const ahead = base + node.boardNow() - START_UTC_MS - now;
    if (
      Math.abs(base - g.clockBase) > honest + SEEN_MS &&
      !g.served.time.isToldTwice(node.boardPlant, ahead, now, core.boot)
    )
      this.breach(node.spec.circuit, 'I2 the clock was put to another time by one answer');
    g.clockBase = base;
    g.anchorAt = core.anchorAt;
  }

  /**
   * Until when a plan binds this controller: the one in force, or the older one that a reset would restore.
   */
  private planUntil(node: SimulatedController, g: Guarded): number {
    const inFlash = intField(node.flash.savedText(PLAN_FILE), 'until', 0);
    const inForce = g.served.circuit.plans.find(({ message }) => message.revision === g.plan);
    return Math.min(inFlash, inForce?.message.until ?? 0);
  }

  /** A test must end when the mains fail, and when its relay does not open or falls back. */
  private followSupply(node: SimulatedController, g: Guarded, now: number): void {
    const { plant } = node;
    const isDriven = plant.relay.driven && node.controller !== null;
    const isThere = hasMains(plant, now);
    if (isThere) g.mainsLostAt = -1;
    else if (g.mainsLostAt < 0) g.mainsLostAt = now;
    if (!isDriven || !sensesLive(plant, now)) g.shutAt = -1;
    else if (g.shutAt < 0) g.shutAt = now;
    if (isDriven && g.mainsLostAt >= 0 && now - g.mainsLostAt > LEAVE_MS)
      this.breach(node.spec.circuit, 'I2 a test goes on through an outage');
    if (g.shutAt >= 0 && now - g.shutAt > Limit.OpenProofMs + LEAVE_MS)
      this.breach(node.spec.circuit, 'I2 a test goes on although the luminaires have their supply');
    const { core } = node.controller ?? {};
    const isMissed = core?.phase === Phase.Fault && core.outageAt === 0 && now - node.bootAt > LEAVE_MS;
    if (isMissed && g.mainsLostAt >= 0 && now - g.mainsLostAt > LEAVE_MS)
      this.breach(node.spec.circuit, 'I9 an outage in a tester fault passes in silence');
    const isStuck = isThere && plant.relay.open && !plant.relay.driven && !isKeyTurned(plant, now);
    const flickers = isStuck && plant.brownOuts.some(({ from, to }) => from <= now && now < to);
    const isSteady = isStuck && !flickers && now - node.bootAt >= LEAVE_MS;
    if (!isSteady || !g.isStuck) g.soundAt = now;
    g.isStuck = isSteady;
    if (now - g.soundAt > Limit.RestoreProofMs + LEAVE_MS && isUnawares(node.controller?.core))
      this.breach(node.spec.circuit, 'I6 the supply is not back and no alarm is raised');
  }

  private followPeople(node: SimulatedController, g: Guarded, now: number): void {
    const is = isOccupied(node.plant, now);
    if (is && !g.isOccupied) g.cameAt = now;
    if (!is && g.isOccupied) g.leftAt = now;
    g.isOccupied = is;
    if (is && node.plant.relay.driven && now - g.cameAt > LEAVE_MS && node.controller)
      this.breach(node.spec.circuit, 'I2 a test goes on with people in a shared area');
  }

  clockOffsets(node: SimulatedController, now: number): number[] | undefined {
    return this.get(node).served.time.offsets(node.boardPlant, now);
  }

  against(node: SimulatedController, now: number): string {
    const g = this.get(node);
    const { shared, emptySec } = g.served.circuit.settings;
    if (this.lastWritten(node) !== 'intent') return 'I4 opened before its intent was in the flash';
    if (isInDoubt(node)) return 'I2 opened by a clock that an answer has contradicted';
    if (!shared) return '';
    const isThere = g.isOccupied && now - g.cameAt > SEEN_MS;
    const sure = emptySec * 1000 * (1 - driftOf(node)) - SEEN_MS;
    return isThere || (!g.isOccupied && now - g.leftAt < sure)
      ? 'I2 opened with a shared area not proven empty'
      : '';
  }

  /** The relay must stay at rest while the record of its next move is being written. */
  private heardWrite(node: SimulatedController, text: string): void {
    if (node.plant.relay.driven && textField(text, 'kind') === 'intent')
      this.breach(node.spec.circuit, 'I4 the coil was driven before the intent was in the flash');
  }

  /** Kind of the newest record in flash. */
  private lastWritten(node: SimulatedController): string {
    const j = node.controller?.journal;
    if (!j) return '';
    const from = Math.max(0, j.offset - Limit.RecordBytes);
    const text = node.flash.bytesAt(fileName(j.file), from, j.offset - from);
    return textField(text.slice(text.lastIndexOf('\n#')), 'kind');
  }

  recordsWritten(): number {
    let sum = 0;
    for (const g of this.guarded.values()) for (const last of g.written.values()) sum += last;
    return sum;
  }

  /** Newest record each journal of this controller has written so far. */
  written(node: SimulatedController): Map<string, number> {
    return new Map(this.get(node).written);
  }

  /** The journal this controller has now, and the number before the oldest record it keeps. */
  kept(node: SimulatedController): { journal: string; before: number } | undefined {
    const j = node.controller?.journal;
    if (!j) return undefined;
    const headers = [1 - j.file, j.file].map((file) =>
      node.flash.bytesAt(fileName(file), 0, Limit.RecordBytes),
    );
    const oldest = headers.find((header) => textField(header, 'journal') === j.id);
    return { journal: j.id, before: oldest === undefined ? j.last : intField(oldest, 'before', 0) };
  }

  /** Written records that never arrived. */
  missing(node: SimulatedController, written: Map<string, number>): number {
    const { served } = this.get(node);
    let sum = 0;
    for (const [journal, last] of written) sum += Math.max(0, last - served.ledger.through(journal));
    return sum;
  }
}
