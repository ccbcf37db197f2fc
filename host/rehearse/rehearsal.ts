// A whole site on one machine: simulated controllers and the host's own ingest, plan and log book, in one
// process at full speed. `simulate` prints the result; the demonstration continues from it.
import { setImmediate } from 'node:timers/promises';
import { OrderKind, Verdict } from '../../firmware/contract/codes';
import { WIRE_VERSION } from '../../firmware/contract/limits';
import type { AnyRecord } from '../../firmware/contract/messages';
import { controllerOf, topicOf } from '../../firmware/contract/topics';
import { Watch } from '../../simulator/checkers/watch';
import { Fleet } from '../../simulator/fleet';
import type { Verdicts } from '../../simulator/run/leanHost';
import { type HostClock, nowSec } from '../clock';
import { createDesired, type DesiredState } from '../house/desired/desired';
import { createHistory, type History } from '../house/history/history';
import { createNotes, type Notes } from '../house/notes/entered';
import { noteLists } from '../house/notes/listing';
import { createIngest, type Ingest, type StoredRecord } from '../ingest/ingest';
import { type KeyRing, signMessage } from '../keys';
import type { Logbook } from '../logbook/logbook';
import { loadMemory, type WrittenMemory } from '../logbook/memory';
import { OWN_KINDS } from '../logbook/own';
import { profileFor } from '../profiles/profile';
import { lampResults } from '../records/result';
import type { Site } from '../site/model';
import { type KindWord, testKindWord } from '../words/codes';
import { fleetSpecOf, renewRules, startUtcMs } from './estate';

const DAY_MS = 86400000;
/** Time after the last simulated day in which the last records reach the log book, ms. */
const SETTLE_MS = 3600000;

/** Per kind of test: a limited test never counts as a full one. */
export type TestCounts = Record<Exclude<KindWord, ''>, Verdicts>;

export function newTestCounts(): TestCounts {
  const none = (): Verdicts => ({ pass: 0, fail: 0, void: 0 });
  return { brief: none(), full: none(), limited: none(), commissioning: none() };
}

/** Counts the verdicts of a record if it is a result. */
export function countVerdicts(tests: TestCounts, record: AnyRecord | undefined): void {
  if (record?.kind !== 'result') return;
  const counts = tests[testKindWord(record.type)];
  for (const { verdict } of lampResults(record)) {
    if (verdict === Verdict.Pass) counts.pass++;
    else if (verdict === Verdict.Fail) counts.fail++;
    else counts.void++;
  }
}

/** Records that controllers have written, and those of them in the log book. */
export interface RecordCounts {
  written: number;
  inLogbook: number;
}

/** Controllers' records in a log book, without the host's own entries. */
export async function recordsIn(logbook: Logbook): Promise<number> {
  let records = await logbook.entries();
  for (const kind of ['listed', ...OWN_KINDS]) records -= await logbook.total({ kind });
  return records;
}

export interface RehearsalOptions {
  site: Site;
  seed: number;
  days: number;
  keys: KeyRing;
  logbook: Logbook;
  onProblem?: (sentence: string) => void;
}

export class Rehearsal {
  readonly fleet: Fleet;
  readonly watch: Watch;
  readonly desired: DesiredState;
  readonly tests = newTestCounts();
  private readonly notes: Notes;
  private readonly history: History;
  private readonly ingest: Ingest;
  /** Settings have changed, and the log book does not say yet whom they describe. */
  private isUnlisted = true;
  private readonly clock: HostClock;
  /** Once the host has answered all that it was sent. */
  private answered: Promise<unknown> = Promise.resolve();

  private constructor(
    private readonly o: RehearsalOptions,
    private readonly memory: WrittenMemory,
  ) {
    const start = startUtcMs(o.site);
    this.clock = { nowMs: () => (this.fleet ? this.fleet.utcMs() : start) };
    this.notes = createNotes(o.site, o.keys);
    this.history = createHistory(o.site, this.notes.listed);
    this.desired = createDesired({
      site: o.site,
      memory,
      history: (circuit) => this.history.of(circuit).last,
      ...(o.onProblem && { onProblem: o.onProblem }),
    });
    this.desired.refresh(start / 1000);
    this.watch = new Watch(start);
    this.ingest = this.makeIngest();
    const spec = fleetSpecOf({
      site: o.site,
      profile: profileFor(o.site),
      plan: this.desired.plan()!.plan,
      keys: o.keys,
      seed: o.seed,
      days: o.days,
      link: { keepAliveSec: 0, heartbeatSec: 21600, liveMs: 0 },
    });
    this.fleet = new Fleet(
      spec,
      (topic, payload) => {
        this.ingest.accept(topic, payload, false);
        this.answered = this.ingest.flush();
        this.fleet.pause();
      },
      [this.watch],
    );
  }

  /** A rehearsal at its first simulated instant. */
  static async start(o: RehearsalOptions): Promise<Rehearsal> {
    const memory = await loadMemory(o.logbook.memory, (sentence) => o.onProblem?.(sentence));
    const rehearsal = new Rehearsal(o, memory);
    await rehearsal.noteLists();
    await memory.written();
    return rehearsal;
  }

  /** Runs every event up to and including `until`, simulated ms; time stands still while the host answers. */
  async run(until: number): Promise<void> {
    while (!this.fleet.run(until)) {
      await this.answered;
      if (this.isUnlisted) await this.noteLists();
    }
    await this.memory.written();
  }

  private async noteLists(): Promise<void> {
    this.isUnlisted = false;
    await noteLists({
      ...{ site: this.o.site, logbook: this.o.logbook, keys: this.o.keys, listed: this.notes.listed },
      revisionOf: (circuit) => this.desired.settingsRevision(circuit),
      take: (entry) => this.notes.take(entry),
      now: () => nowSec(this.clock),
    });
  }

  private makeIngest(): Ingest {
    return createIngest({
      logbook: this.o.logbook,
      keys: this.o.keys,
      clock: this.clock,
      publish: (topic, payload) => {
        this.fleet.publish(topic, payload);
        return true;
      },
      onState: (address, state) => {
        if (this.desired.outbid(controllerOf(address), state)) this.isUnlisted = true;
      },
      desired: (address) => (this.isUnlisted ? {} : this.desired.of(controllerOf(address))),
      onRecord: (stored) => this.take(stored),
      ...(this.o.onProblem && { onProblem: this.o.onProblem }),
    });
  }

  private take({ entry, record }: StoredRecord): void {
    if (!record) return;
    countVerdicts(this.tests, record);
    this.history.take(controllerOf(entry.address), record, entry);
  }

  /** The electrician of the invented site clears the faults of repaired relays. */
  private async clearRepaired(day: number): Promise<void> {
    for (const fault of this.o.site.simulation.faults) {
      if (!('repairedDay' in fault) || fault.repairedDay !== day) continue;
      const address = `${this.o.site.id}/${fault.circuit}`;
      const at = nowSec(this.clock);
      const wish = { do: OrderKind.ClearFault, arg: 0, who: 'simulated electrician' };
      const counter = await this.o.logbook.orders.take({ address, at, ...wish });
      const order = { v: WIRE_VERSION, counter, expires: at + 600, ...wish };
      this.fleet.publish(topicOf(address, 'order'), signMessage(this.o.keys, address, 'order', order));
    }
  }

  /** The watch also checks openings against a renewed plan. */
  private async renewPlan(): Promise<void> {
    if (!this.desired.refresh(this.clock.nowMs() / 1000)) return;
    await this.noteLists();
    renewRules(this.fleet.spec.controllers, this.o.site, this.desired.plan()!.plan);
  }

  /** Runs whole days from the present point; calls `onDay` after each. */
  async runDays(days: number, onDay?: (day: number) => void): Promise<void> {
    for (let i = 0; i < days; i++) {
      const day = Math.round(this.fleet.now / DAY_MS);
      await this.clearRepaired(day);
      await this.renewPlan();
      await this.run((day + 1) * DAY_MS);
      onDay?.(day + 1);
      // Lets an interrupt through.
      await setImmediate();
    }
  }

  /** Lets the last records reach the log book. */
  async settle(): Promise<void> {
    await this.run(this.fleet.now + SETTLE_MS);
  }

  /** Records made by all controllers so far. */
  recordsWritten(): number {
    return this.fleet.nodes.reduce((sum, node) => sum + (node.controller?.journal.last ?? 0), 0);
  }
}
