// One run of a campaign: a random site, a random schedule of faults and orders, and everything that must hold
// checked after every event. The same numbers give the same outcome on every machine.
import { Phase } from '../../firmware/contract/codes';
import { Watch } from '../checkers/watch';
import type { FaultKind } from '../faults';
import { Fleet, type Observer } from '../fleet';
import type { SimulatedController } from '../node';
import { Duties } from './duties';
import { Guard } from './guard';
import { CampaignHost, type NewDesk } from './host';
import type { Incident } from './incidents';
import { drawMisfortunes, type MisfortuneKind } from './misfortunes';
import { drawSchedule } from './schedule';
import { type CampaignSite, DAY_MS, drawSite, REAL_DAYS, type RunNumber, START_UTC_MS } from './site';

/** What is left of a run; everything by default. */
export interface Cut {
  /** Numbers of the incidents to keep. */
  keep?: number[];
  /** Names of the circuits to keep. */
  circuits?: string[];
  /** Luminaires to keep per circuit, the first ones. */
  lamps?: number;
  days?: number;
}

export interface RunOutcome {
  /** Simulated ms of all controllers together. */
  controllerMs: number;
  faults: { [kind in FaultKind]?: number };
  /** What happened to the real host, if there was one. */
  host?: HostOutcome;
  violations: string[];
  lost: number;
  duplicated: number;
  openings: number;
  records: number;
  /** Simulated ms at which it ended: early when something broke. */
  endedAt: number;
}

/** What became of a real host and its log book in a run. */
export interface HostOutcome {
  /** Misfortunes that struck: a call to the disk failed, or the host was ended; and backups. */
  misfortunes: { [kind in MisfortuneKind]?: number };
  /** How often the host was started, and how often it ended by itself, because of its disk. */
  starts: number;
  gaveUp: number;
  /** Calls to the disk that failed, and sectors that power cuts took back. */
  callsFailed: number;
  sectorsLost: number;
  /**
   * Records it has acknowledged; of those, what was newer than the backup that was restored, and what never came again.
   */
  acknowledged: number;
  newerThanBackup: number;
  neverAgain: number;
}

export interface Scene {
  site: CampaignSite;
  incidents: Incident[];
  /** Stops early. */
  isShort: boolean;
}

/** Fewest faults in a run; more for a longer run with more circuits. */
const FAULTS_AT_LEAST = 50;
const FAULTS_PER_CONTROLLER_YEAR = 2;

/**
 * Longer than a test plus the transfer of its last records to the host: a sparing link is silent during a
 * test.
 */
const SETTLE_HOURS = 6;
const HOUR_MS = 3_600_000;

/** Whether a test is under way, from the look on mains to the proven restore. */
function isBusy(node: SimulatedController): boolean {
  const phase = node.controller?.core.phase;
  return phase !== undefined && phase >= Phase.Opening && phase <= Phase.Restoring;
}

/** Whether a run plays its host in memory, or has a real one, to which misfortunes happen too. */
export type HostForm = 'in memory' | 'real';

/** Site and schedule of a run, cut down as asked. */
export function sceneOf(at: RunNumber, cut: Cut = {}, form: HostForm = 'in memory'): Scene {
  const site = drawSite(at, form === 'real' ? REAL_DAYS : undefined);
  const years = (site.days / 365) * site.circuits.length;
  const faults = FAULTS_AT_LEAST + Math.floor(FAULTS_PER_CONTROLLER_YEAR * years);
  const incidents = drawSchedule(site, faults);
  if (form === 'real') {
    incidents.push(...drawMisfortunes(site, incidents));
    incidents.sort((a, b) => a.at - b.at);
  }
  return cutScene({ site, incidents, isShort: false }, cut);
}

function cutScene(scene: Scene, cut: Cut): Scene {
  const { keep, circuits: names, lamps } = cut;
  const isKept = (circuit: string) => names === undefined || names.includes(circuit);
  const circuits = scene.site.circuits.filter((c) => isKept(c.spec.circuit));
  for (const { spec, settings } of circuits) {
    spec.neighbours = spec.neighbours.filter(isKept);
    if (lamps === undefined) continue;
    spec.lamps = spec.lamps.slice(0, lamps);
    settings.lamps = settings.lamps.split(';').slice(0, spec.lamps.length).join(';').concat(';');
  }
  const isThere = ({ circuit, fault }: Incident) => {
    const lamps = circuits.find((c) => c.spec.circuit === circuit)?.spec.lamps ?? [];
    const named = [fault && 'luminaire' in fault && fault.luminaire, fault && 'from' in fault && fault.from];
    return named.every((id) => !id || lamps.some((lamp) => lamp.id === id));
  };
  const incidents = scene.incidents.filter(
    (one) =>
      (one.misfortune || isKept(one.circuit)) &&
      (keep === undefined || keep.includes(one.number)) &&
      isThere(one),
  );
  return {
    site: { ...scene.site, circuits, days: cut.days ?? scene.site.days },
    incidents,
    isShort: cut.days !== undefined,
  };
}

/** Ends a run at its first violation. */
class Broken extends Error {}

export class CampaignRun {
  readonly host: CampaignHost;
  /** Newest record of each journal, early enough to have come by the end; empty if the run ended early. */
  readonly written = new Map<SimulatedController, Map<string, number>>();
  private readonly violations: string[] = [];
  private readonly watch: Watch;
  private readonly guard: Guard;
  private readonly fleet: Fleet;
  /** What the host is told to do, and what happens to it. */
  private readonly acts: Incident[];

  constructor(
    private readonly scene: Scene,
    newDesk?: NewDesk,
  ) {
    const { site, incidents } = scene;
    this.acts = incidents.filter(({ order, misfortune }) => order ?? misfortune);
    for (const { spec } of site.circuits)
      spec.faults = incidents.flatMap(({ circuit, fault }) =>
        fault && circuit === spec.circuit ? [fault] : [],
      );
    this.host = new CampaignHost(site, (circuit, sentence) => this.breach(circuit, sentence), newDesk);
    this.guard = new Guard(this.host, (circuit, sentence) => this.breach(circuit, sentence));
    this.watch = new Watch(START_UTC_MS, undefined, this.guard);
    const duties = new Duties(
      incidents,
      this.host.desk.absences,
      (node) => this.watch.openingsOf(node),
      (circuit, sentence) => this.breach(circuit, sentence),
    );
    const stop: Observer = { after: () => this.stopIfBroken() };
    const spec = {
      seed: site.plantSeed,
      startUtcMs: START_UTC_MS,
      controllers: site.circuits.map((c) => c.spec),
      link: { keepAliveSec: 0, heartbeatSec: site.heartbeatSec, liveMs: 0 },
      noise: true,
      isSparing: site.isSparing,
    };
    const sink = (topic: string, payload: string) => this.host.accept(topic, payload);
    this.fleet = new Fleet(spec, sink, [this.guard, this.watch, duties, stop]);
    this.host.fleet = this.fleet;
  }

  private breach(circuit: string, sentence: string): void {
    const at = new Date(START_UTC_MS + (this.fleet?.now ?? 0)).toISOString();
    this.violations.push(`${circuit || 'host'} at ${at}: ${sentence}`);
  }

  private stopIfBroken(): void {
    if (this.violations.length + this.watch.violations.length > 0) throw new Broken();
  }

  /** Runs to the end, or to the first violation. */
  run(): RunOutcome {
    const play = this.play();
    for (;;) {
      const step = play.next();
      if (step.done) return step.value;
    }
  }

  /** The same in steps: time stands still at each, until the host has answered. */
  *play(): Generator<undefined, RunOutcome> {
    let lost = 0;
    try {
      yield;
      yield* this.runTo(this.scene.site.days * DAY_MS);
      // A shortened run may end while the network is down.
      if (!this.scene.isShort) lost = yield* this.settleAccounts();
    } catch (error) {
      if (!(error instanceof Broken))
        this.breach('controller', `its program crashed: ${(error as Error).message}`);
    }
    return this.outcome(lost);
  }

  /** By controller's address and journal: before the oldest record that it keeps. */
  kept(): Map<string, number> {
    const all = this.fleet.nodes.map((node) => ({ ...this.guard.kept(node), address: node.spec.address }));
    return new Map(all.map(({ address, journal, before }) => [`${address} ${journal}`, before ?? 0]));
  }

  /** All that has broken so far. */
  broken(): string[] {
    return [...this.watch.violations, ...this.violations];
  }

  private outcome(lost: number): RunOutcome {
    const ended = this.fleet.now;
    return {
      controllerMs: this.fleet.nodes.length * ended,
      faults: this.faultsUntil(ended),
      violations: this.broken(),
      lost,
      duplicated: this.host.duplicated,
      openings: this.watch.openings,
      records: this.guard.recordsWritten(),
      endedAt: ended,
    };
  }

  private *runTo(end: number): Generator<undefined> {
    for (let next = 0; ; ) {
      const act = this.acts[next];
      const isThere = this.fleet.run(this.until(Math.min(end, act?.at ?? end)));
      yield;
      this.stopIfBroken();
      if (!isThere) continue;
      if (act && act.at <= this.fleet.now) {
        this.host.act(act);
        next++;
        yield;
      } else if (this.fleet.now >= end) return;
    }
  }

  /** How far to run at once, at most to `most`, simulated ms. */
  private until(most: number): number {
    const due = Math.min(this.host.clearFaults(), this.host.desk.look(), this.fleet.now + DAY_MS);
    return Math.max(this.fleet.now, Math.min(most, due));
  }

  /** Lets time pass, without visits. */
  private *pass(hours: number): Generator<undefined> {
    for (const end = this.fleet.now + hours * HOUR_MS; this.fleet.now < end; ) {
      this.host.desk.look();
      yield;
      this.fleet.run(Math.min(end, this.fleet.now + HOUR_MS));
      yield;
    }
  }

  /** The network has been back for days: everything written must have arrived. @returns records lost */
  private *settleAccounts(): Generator<undefined, number> {
    // The newest records may still be on their way, and a test may be running.
    for (const node of this.fleet.nodes) this.written.set(node, this.guard.written(node));
    yield* this.pass(SETTLE_HOURS);
    for (let left = SETTLE_HOURS; left > 0 && this.fleet.nodes.some(isBusy); left--) yield* this.pass(1);
    this.stopIfBroken();
    let lost = 0;
    for (const node of this.fleet.nodes) {
      const s = this.host.of(node);
      const missing = this.guard.missing(node, this.written.get(node) ?? new Map());
      if (missing > 0) this.breach(s.circuit.spec.circuit, `I4 ${missing} records never came`);
      lost += missing;
      const owed = s.openings.owed(this.watch.openingsOf(node));
      if (missing === 0 && owed !== '') this.breach(s.circuit.spec.circuit, owed);
    }
    return lost;
  }

  private faultsUntil(ended: number): { [kind in FaultKind]?: number } {
    const counts: { [kind in FaultKind]?: number } = {};
    for (const { fault, at } of this.scene.incidents)
      if (fault && at <= ended) counts[fault.kind] = (counts[fault.kind] ?? 0) + 1;
    return counts;
  }
}
