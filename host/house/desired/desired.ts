// The plan and settings that controllers should have, numbered so that a restart changes nothing and a change
// always counts as newer.
import type { SettingsMessage } from '../../../firmware/contract/messages';
import { risingNumber } from '../../clock';
import type { Desired } from '../../ingest/answers';
import { sha256Hex } from '../../keys';
import type { Memory } from '../../logbook/memory';
import type { Owed } from '../../planner/keep';
import { planMessage } from '../../planner/plan/message';
import type { CircuitPlan, Plan } from '../../planner/plan/plan';
import { profileFor } from '../../profiles/profile';
import type { Circuit, Site } from '../../site/model';
import { circuitSettings } from '../../site/settings';
import { type Claim, createNumbers, type Numbers, REVISION_MAX } from './numbers';
import {
  changeLines,
  type History,
  hasLostTest,
  isOwedPlanned,
  type Known,
  lateCharges,
  reachesFar,
  renewedPlan,
  shortfallLine,
} from './renewal';
import { type Added, isSameWindow, type Window, withWindow } from './window';

export interface DesiredOptions {
  site: Site;
  memory: Memory;
  /** Last tests of a circuit by id, so that a new plan continues where the old one ends. */
  history?: History;
  /**
   * The circuit with the lamp currents that apply, including those people have accepted in place of the site
   * file's.
   */
  inForce?: (circuit: Circuit) => Circuit;
  /** The window in which someone works on a circuit, the last one entered. */
  attended?: (circuit: string) => Window | undefined;
  /** Tests done under a plan's revision or a later one, by number. */
  done?: (circuit: string, revision: number) => number[];
  /** Tests of a circuit that repairs ask for and that are still owed. */
  owed?: (circuit: Circuit) => Owed[];
  /**
   * UTC second at which a circuit's batteries are full again, after an outage or a repair; at most now if they are.
   */
  fullAt?: (circuit: string) => number;
  onProblem?: (sentence: string) => void;
  /** A plan made elsewhere, used instead of our own first one. */
  given?: { plan: Plan; revision: number };
}

export interface Numbered {
  plan: Plan;
  revision: number;
}

export interface DesiredState {
  /** Makes or renews plan and settings where needed at this UTC second; true if anything changed. */
  refresh(now: number): boolean;
  /** The current plan; undefined before the first `refresh`. */
  plan(): Numbered | undefined;
  /**
   * A controller that knows higher numbers had a host whose memory we lack: what it gets is numbered above
   * them, within bounds; what other circuits get is not. @returns true if anything changed
   */
  outbid(circuit: string, claim: Claim): boolean;
  /** Revision of the settings that a circuit's controller should have; undefined before the first `refresh`. */
  settingsRevision(circuit: string): number | undefined;
  /** What a circuit's controller should have. */
  of(circuit: string): Desired;
}

/** Time between two checks for void or missed tests, s; and how far back the first one looks. */
const LOOK_SEC = 3600;
const LOOK_BACK_SEC = 7 * 86400;

interface Stored<T> {
  print: string;
  revision: number;
  value: T;
}

function printOf(value: unknown): string {
  return sha256Hex(JSON.stringify(value));
}

function parse<T>(text: string): Stored<T> | undefined {
  try {
    return JSON.parse(text) as Stored<T>;
  } catch {
    return undefined;
  }
}

class NumberedState implements DesiredState {
  private stored: Stored<Plan> | undefined;
  /** The shares of its circuits by their ids: every report of a controller asks for one. */
  private shares: ReadonlyMap<string, CircuitPlan> = new Map();
  private readonly settings = new Map<string, Stored<SettingsMessage>>();
  private readonly added = new Map<string, Added>();
  private readonly circuits: Map<string, Circuit>;
  private readonly numbers: Numbers;
  private readonly print: string;
  private readonly historyOf: History;
  /** UTC second of the last refresh: slots that were over then are no longer sent. */
  private now = 0;
  /** UTC second of the last check for lost tests. */
  private looked = 0;
  /** Tests owed after repairs at the last look. */
  private owedPrint = '[]';

  constructor(private readonly o: DesiredOptions) {
    this.circuits = new Map(o.site.circuits.map((circuit) => [circuit.id, circuit]));
    this.historyOf = o.history ?? (() => ({}));
    this.numbers = createNumbers(this.circuits.keys(), o.memory, o.onProblem);
    const { simulation: _notPlanned, responsible: _neither, name: _nor, ...planned } = o.site;
    this.print = printOf(planned);
    this.takePlan(parse<Plan>(o.memory.recall('plan')));
    for (const id of this.circuits.keys()) {
      const known = parse<SettingsMessage>(o.memory.recall(`settings ${id}`));
      if (known) this.settings.set(id, known);
      const added = parse<Added>(o.memory.recall(`window ${id}`))?.value;
      if (added) this.added.set(id, { ...added, plan: added.plan ?? this.planBefore(added.revision) });
    }
    if (o.given) this.keepPlan({ print: this.print, revision: o.given.revision, value: o.given.plan });
  }

  /** The plan to which an earlier version added something: it noted only the number, above the plan's. */
  private planBefore(revision: number): number {
    const plan = this.stored?.revision ?? 0;
    return revision > plan ? plan : 0;
  }

  refresh(now: number): boolean {
    this.now = now;
    const known = this.stored;
    const fits = known?.print === this.print && reachesFar(known.value, now);
    const owed = this.owedNow();
    const isOwedOtherwise = this.isNews(owed);
    // A clock put back must not end the looking.
    const isDue = isOwedOtherwise || now < this.looked || now - this.looked >= LOOK_SEC;
    const isLooking = this.o.history !== undefined && isDue;
    const fullAt = known && (isLooking || !fits) ? this.lateCharges(known.value, now) : {};
    const isOwed =
      isOwedOtherwise && fits && owed.some((one) => !isOwedPlanned(known.value, one, this.historyOf));
    const must = !fits || isOwed || Object.keys(fullAt).length > 0;
    const isLost = !must && isLooking && this.hasLost(known.value, now);
    if (isLooking) this.looked = now;
    let changed = must || isLost ? this.renew(now, fits, { owed, fullAt }) : false;
    for (const id of this.circuits.keys()) {
      changed = this.refreshSettings(id, now) || changed;
      changed = this.refreshWindow(id, now) || changed;
    }
    return changed;
  }

  plan(): Numbered | undefined {
    return this.stored && { plan: this.stored.value, revision: this.stored.revision };
  }

  outbid(circuit: string, claim: Claim): boolean {
    const { numbers } = this;
    const settings = this.settings.get(circuit);
    const isBehind =
      settings !== undefined &&
      claim.settings > settings.revision &&
      numbers.mayOutbid(circuit, 'settings', claim.settings);
    if (isBehind) {
      const revision = claim.settings + 1;
      this.keepSettings(circuit, { ...settings, revision, value: { ...settings.value, revision } });
    }
    if (!this.stored || claim.plan <= this.revisionOf(circuit)) return isBehind;
    if (!numbers.mayOutbid(circuit, 'plan', claim.plan)) return isBehind;
    numbers.keep(circuit, this.stored.revision, claim.plan + 1);
    return true;
  }

  settingsRevision(circuit: string): number | undefined {
    return this.settings.get(circuit)?.revision;
  }

  of(circuit: string): Desired {
    const share = this.shares.get(circuit);
    if (!this.stored || !share) return {};
    const { from, until } = this.stored.value;
    return {
      settings: this.settings.get(circuit)?.value,
      plan: planMessage(
        withWindow(share, this.addedTo(circuit)),
        this.revisionOf(circuit),
        Math.max(from, this.now),
        until,
      ),
    };
  }

  /** What was added to the current plan; an older plan's window went with it. */
  private addedTo(circuit: string): Added | undefined {
    const added = this.added.get(circuit);
    return added && added.plan === this.stored?.revision ? added : undefined;
  }

  /** The plan's own number, unless something was added for this circuit, or its controller knew a higher one. */
  private revisionOf(circuit: string): number {
    const plan = this.stored?.revision ?? 0;
    return Math.max(plan, this.addedTo(circuit)?.revision ?? 0, this.numbers.own(circuit, plan));
  }

  private refreshWindow(id: string, now: number): boolean {
    const window = this.o.attended?.(id);
    const known = this.addedTo(id);
    const isOver = window !== undefined && window.to <= now;
    if (isSameWindow(window, known?.window) || (isOver && !known)) return false;
    const plan = this.stored?.revision ?? 0;
    const done = this.o.done?.(id, plan) ?? [];
    const added: Added = { plan, revision: this.above(this.revisionOf(id), now), window, done };
    this.added.set(id, added);
    this.o.memory.remember(`window ${id}`, JSON.stringify({ value: added }));
    return true;
  }

  private owedNow(): Owed[] {
    const { owed } = this.o;
    return owed ? [...this.circuits.values()].flatMap((circuit) => owed(circuit)) : [];
  }

  /** True if the tests owed after repairs have changed. */
  private isNews(owed: Owed[]): boolean {
    const print = JSON.stringify(owed);
    const isNews = print !== this.owedPrint;
    this.owedPrint = print;
    return isNews;
  }

  private lateCharges(plan: Plan, now: number): Record<string, number> {
    const { fullAt, history } = this.o;
    return fullAt && history ? lateCharges(plan, now, fullAt, history) : {};
  }

  /** True if a test has used up its attempts since the last check. */
  private hasLost(plan: Plan, now: number): boolean {
    const before = this.looked > 0 ? this.looked : now - LOOK_BACK_SEC;
    const { history, site } = this.o;
    const hasFurther = site.testMore !== undefined;
    return history !== undefined && hasLostTest(plan, profileFor(site), { before, now }, history, hasFurther);
  }

  /** Makes a new plan; for an unchanged site it stays if nothing would change. */
  private renew(now: number, mayStay: boolean, more: Omit<Known, 'history'>): boolean {
    const { plan, changes } = renewedPlan(this.o.site, this.stored?.value, now, {
      history: this.historyOf,
      ...more,
    });
    if (mayStay && changes.length === 0) return false;
    const { from, until, circuits } = plan;
    const revision = this.above(this.stored?.revision ?? 0, now);
    this.keepPlan({ print: this.print, revision, value: { from, until, circuits } });
    const late = shortfallLine(plan);
    for (const line of [...changeLines(changes), ...(late ? [late] : [])]) this.o.onProblem?.(line);
    return true;
  }

  /** A number above one given before; there is none above the last. */
  private above(last: number, now: number): number {
    return Math.min(risingNumber(last, now), REVISION_MAX);
  }

  private takePlan(stored: Stored<Plan> | undefined): void {
    this.stored = stored;
    this.shares = new Map(stored?.value.circuits.map((share) => [share.circuit, share]));
  }

  private keepPlan(stored: Stored<Plan>): void {
    const ids = [...this.circuits.keys()];
    const before = ids.map((id) => this.revisionOf(id));
    this.takePlan(stored);
    this.o.memory.remember('plan', JSON.stringify(stored));
    ids.forEach((id, i) => {
      if (before[i] >= stored.revision) this.numbers.keep(id, stored.revision, this.above(before[i], 0));
    });
  }

  private keepSettings(id: string, stored: Stored<SettingsMessage>): void {
    this.settings.set(id, stored);
    this.o.memory.remember(`settings ${id}`, JSON.stringify(stored));
  }

  private refreshSettings(id: string, now: number): boolean {
    const circuit = this.circuits.get(id);
    const share = this.shares.get(id);
    if (!circuit || !share) return false;
    const { site } = this.o;
    const current = this.o.inForce?.(circuit) ?? circuit;
    const value = circuitSettings(site, current, share, profileFor(site), 1);
    // Their ids as well: results are read by the revision, so another order is another revision.
    const print = printOf([value, circuit.luminaires.map((lamp) => lamp.id)]);
    const known = this.settings.get(id);
    if (known?.print === print) return false;
    const revision = this.above(known?.revision ?? 0, now);
    this.keepSettings(id, { print, revision, value: { ...value, revision } });
    return true;
  }
}

/** The current plan from memory, as made by an earlier run. */
export function planInForce(remembered: ReadonlyMap<string, string>): Numbered | undefined {
  const stored = parse<Plan>(remembered.get('plan') ?? '');
  return stored && { plan: stored.value, revision: stored.revision };
}

/** Plan and settings of a site, kept across restarts; see `DesiredState`. */
export function createDesired(options: DesiredOptions): DesiredState {
  return new NumberedState(options);
}
