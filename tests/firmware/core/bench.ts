// The core in a small simulated world: one supply, one relay and lamps that behave as configured. Time moves
// in turns of the board's loop; turns in which nothing is due are skipped.
import { type OrderKind, Phase, Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import type { SettingsMessage } from '../../../firmware/contract/messages';
import { slotsText } from '../../../firmware/contract/plan';
import { brokenClaims } from '../../../firmware/core/claims';
import { takeTime } from '../../../firmware/core/clock';
import { intentStored, isIntentDue } from '../../../firmware/core/discharge';
import { isUnheard, Read } from '../../../firmware/core/inputs';
import { takePlan } from '../../../firmware/core/schedule';
import { hasNews } from '../../../firmware/core/senses';
import { takeSettings } from '../../../firmware/core/settings';
import { isDischarging, newCore, Sense } from '../../../firmware/core/state';
import { start, step, takeOrder } from '../../../firmware/core/step';

export const MINUTE_MS = 60_000;
export const HOUR_MS = 3_600_000;
export const DAY_MS = 86_400_000;
/** UTC second of monotonic 0: a midnight. */
export const START = Date.UTC(2026, 0, 10) / 1000;
/** A window in the night after the first full recharge: 01:00 to 06:00 of the second day. */
export const WINDOW = { from: START + 90_000, to: START + 108_000 };
/** Monotonic ms at which that window is open, by a clock that may be some seconds off. */
export const IN_WINDOW = 90_000_000 + 60_000;
/** Battery current of every lamp of the standard circuit, mA. */
export const BATTERY = 200;

export const SETTINGS: SettingsMessage = {
  v: 1,
  revision: 1,
  briefSec: 120,
  rechargeSec: 86_400,
  briefRechargeSec: 3600,
  earlyPercent: 50,
  floorPercent: 70,
  shared: 0,
  emptySec: 0,
  fitted: 0,
  cycle: 1,
  residue: 0,
  noon: 43_200,
  fallbackFrom: 3600,
  fallbackSec: 18_000,
  briefDays: 30,
  fullDays: 365,
  // Non-maintained, maintained, switched maintained, combined; 1 h rated.
  lamps: '0,200,0,3600;1,200,300,3600;2,200,300,3600;3,200,0,3600;',
};

/** Settings of a shared circuit with an occupancy detector. */
export const SHARED = { shared: 1, emptySec: 60, fitted: 2 };
/** Verdict and reason of a lamp that passed. */
export const PASS = [Verdict.Pass, Reason.None];

export interface Body {
  kind: string;
  utc: number;
  plan: number;
  test: number;
  type: TestKind;
  end: number;
  seconds: number;
  started: number;
  openMs: number;
  restoreMs: number;
  guard: number;
  reason: number;
  arg: number;
  grid: number;
  curves: string[];
  lamps: number[][];
}

/** Reading of a lamp's sensor: `litMs` is the time on battery, -1 on mains. */
export type LampModel = (litMs: number) => number;

const MODES = [0, 1, 2, 3];

/** A lamp of this mode that stays lit on battery until `diesMs`, and on mains as its mode says. */
export function lampOf(mode: number, diesMs = Number.POSITIVE_INFINITY, strikesMs = 400): LampModel {
  return (litMs) => {
    if (litMs < 0) return mode === 1 || mode === 2 ? 300 : 0;
    return litMs >= strikesMs && litMs < diesMs ? BATTERY : 0;
  };
}

/** The world around the controller. */
export interface World {
  mains: number;
  key: number;
  stop: number;
  occupied: number;
  /** What the contact does: follow the coil, stick, or stay open until every guard releases the coil. */
  contact: 'follows' | 'closed' | 'open' | 'held by a guard';
  /** Undefined: the auxiliary contact reports the truth. */
  aux: number | undefined;
}

export class Bench implements World {
  readonly s = newCore(1);
  now = 0;
  mains = 1;
  key = 0;
  stop = 0;
  occupied = 0;
  contact: World['contact'] = 'follows';
  aux: number | undefined;
  lamps: LampModel[] = MODES.map((mode) => lampOf(mode));
  /** How long a reading of the lamps takes, ms: 0 through a converter, longer on a bus. */
  sweepMs = 0;
  room = 1;
  /** Whether the flash stores the intent. */
  storable = 1;
  readonly records: Body[] = [];
  readonly broken: string[] = [];
  /** Monotonic ms of each change of the drive, and the world at that moment. */
  readonly drives: { at: number; open: number; world: World }[] = [];
  /** Coil exercises in a fault: monotonic ms from and to. */
  readonly exercises: { from: number; to: number }[] = [];
  /** How often the state message became due. */
  dirtied = 0;
  /** When the core is stepped next: when it asks, unless a test leaves out steps. */
  dueAt = (): number => this.s.wakeAt;
  /** How often the core was stepped. */
  steps = 0;
  private plannedChanges: { at: number; world: Partial<World> }[] = [];
  private sweepFor = 0;
  private sweepAt = 0;
  private isOpen = 0;
  private darkAt = -1;
  private drive = 0;

  constructor(settings: Partial<SettingsMessage> | null = {}, clock = true) {
    if (settings) {
      const taken = takeSettings(this.s.set, { ...SETTINGS, ...settings });
      if (!taken) throw new Error('The settings of this test are out of bounds.');
    }
    start(this.s, 0, 0);
    if (clock) takeTime(this.s, START * 1000, 0, 0);
    this.perform();
  }

  /** Delivers a plan of rows [test, kind, from, to], UTC seconds. */
  plan(rows: number[][], until = START + 86_400 * 300, revision = 1): this {
    const slots = slotsText(rows.map(([test, kind, start, end]) => ({ test, kind, start, end })));
    if (!takePlan(this.s, { v: 1, revision, until, slots }, 1, this.now))
      throw new Error('The plan of this test is malformed.');
    return this;
  }

  /** One slot in the standard window. */
  planned(kind: TestKind): this {
    return this.plan([[1, kind, WINDOW.from, WINDOW.to]]);
  }

  change(world: Partial<World>): this {
    Object.assign(this, world);
    return this;
  }

  /** Changes the world at that instant. */
  at(ms: number, world: Partial<World>): this {
    this.plannedChanges.push({ at: ms, world });
    this.plannedChanges.sort((a, b) => a.at - b.at);
    return this;
  }

  /** Runs until monotonic `until`, ms, a multiple of the loop's period. */
  run(until: number): this {
    while (this.now < until) {
      this.turn();
      const loop = Limit.LoopMs;
      const busy = this.s.drive !== this.isOpen || this.hasUnseen();
      const due = busy ? this.now + loop : Math.max(this.now + loop, Math.ceil(this.dueAt() / loop) * loop);
      this.now = Math.min(until, due, this.nextChangeAt());
    }
    return this;
  }

  /** Runs until `holds`, checking after every turn; throws if it is still not true by `until`. */
  runTo(holds: () => boolean, until: number): this {
    while (!holds()) {
      if (this.now >= until) throw new Error(`Not come true by ${until} ms.`);
      this.turn();
      this.now += Limit.LoopMs;
    }
    return this;
  }

  /** Runs to the standard window and on until a test is discharging. */
  runToDischarge(): this {
    this.run(IN_WINDOW - 60_000);
    return this.runTo(() => isDischarging(this.s), IN_WINDOW + 60_000);
  }

  kinds(): string[] {
    return this.records.map((r) => r.kind);
  }

  of(kind: string): Body[] {
    return this.records.filter((r) => r.kind === kind);
  }

  /** The only result so far. */
  result(): Body {
    const results = this.of('result');
    if (results.length !== 1) throw new Error(`${results.length} results instead of one.`);
    return results[0];
  }

  private world(): World {
    const { mains, key, stop, occupied, contact, aux } = this;
    return { mains, key, stop, occupied, contact, aux };
  }

  private hasUnseen(): boolean {
    this.senses();
    return hasNews(this.s);
  }

  private senses(): void {
    // The relay obeys the lease: once the lease has expired, the coil is released.
    if (this.contact === 'follows') this.isOpen = this.s.drive && this.now < this.s.leaseUntil ? 1 : 0;
    else if (this.contact === 'held by a guard') this.isOpen = this.s.drive || this.s.ending ? 1 : 0;
    else this.isOpen = this.contact === 'open' ? 1 : 0;
    const i = this.s.in;
    i.supplyA = this.mains;
    i.supplyB = this.mains && !this.isOpen && !this.key ? 1 : 0;
    i.aux = this.aux ?? this.isOpen;
    i.key = this.key;
    i.stop = this.stop;
    i.occupied = this.occupied;
    if (i.supplyB) this.darkAt = -1;
    else if (this.darkAt < 0) this.darkAt = this.now;
  }

  /** What a lamp's sensor reads at monotonic `at` if the supply stays as it is. */
  readingAt(lamp: number, at: number): number {
    return Math.round(this.lamps[lamp](this.darkAt < 0 ? -1 : at - this.darkAt));
  }

  /** When the world changes next, monotonic ms. */
  nextChangeAt(): number {
    return this.plannedChanges[0]?.at ?? Number.POSITIVE_INFINITY;
  }

  /** A bus reads the lamps one after the other, from the turn in which the reading is asked for. */
  private read(): void {
    const { s } = this;
    if (this.sweepFor !== s.sampleAt) {
      this.sweepFor = s.sampleAt;
      this.sweepAt = this.now;
    }
    s.in.read = this.now >= this.sweepAt + this.sweepMs ? Read.All : Read.NotYet;
    if (s.in.read === Read.NotYet) return;
    const count = this.lamps.length;
    for (let i = 0; i < count; i++)
      s.in.lamp[i] = this.readingAt(i, this.sweepAt + Math.floor((this.sweepMs * i) / count));
    if (s.in.lamp.subarray(0, count).some(isUnheard)) s.in.read = Read.Some;
  }

  private turn(): void {
    while (this.plannedChanges.length > 0 && this.plannedChanges[0].at <= this.now)
      this.change((this.plannedChanges.shift() as { world: Partial<World> }).world);
    this.senses();
    const s = this.s;
    const isDue = this.now >= s.wakeAt || hasNews(s);
    if (isDue) {
      if (s.sampleAt > 0 && this.now >= s.sampleAt) this.read();
      s.journalReady = this.room;
      step(s, this.now);
      this.steps++;
    }
    this.perform();
    if (isDue) this.demandNoPast();
  }

  /** The core must not ask for an instant in the past: the board would return too late, or in every turn. */
  private demandNoPast(): void {
    const s = this.s;
    const demand = (holds: boolean, sentence: string): void => {
      if (!holds) throw new Error(`${sentence} (at ${this.now} ms)`);
    };
    // A reading put off while the supply may have returned stays due, and so does one that takes its time.
    const isPutOff = (isDischarging(s) && s.raw[Sense.After] === 1) || s.in.read === Read.NotYet;
    demand(s.wakeAt >= this.now || isPutOff, 'The core asks to be woken in the past.');
    demand(
      s.sampleAt === 0 || s.sampleAt >= this.now || isPutOff,
      'The core asks for a reading in the past.',
    );
    demand(!s.drive || s.leaseUntil > this.now, 'The coil is wanted, but its lease has run out.');
    demand(!s.drive || s.wakeAt < s.leaseUntil, 'The core sleeps beyond the lease of its own coil.');
    demand(
      s.drive === 1 || s.ending !== 0 || s.leaseUntil === 0,
      'The coil is not wanted, but its lease runs on.',
    );
  }

  /** What the board does after a step: writes records to the journal, then opens on a durable intent. */
  perform(): void {
    const s = this.s;
    const isIntent = s.outCount > 0 && isIntentDue(s);
    for (const claim of brokenClaims(s, this.now)) this.broken.push(`${this.now} ${claim}`);
    // An intent that cannot be written now is written later, as it is.
    for (let i = 0; i < s.outCount; i++) this.records.push(JSON.parse(`{${s.out[i]}}`));
    s.outCount = 0;
    if (isIntent) intentStored(s, this.storable, this.now);
    if (s.dirty) this.dirtied++;
    s.dirty = 0;
    if (s.drive && !this.drive && s.phase === Phase.Fault)
      this.exercises.push({ from: this.now, to: Number.POSITIVE_INFINITY });
    const exercise = this.exercises[this.exercises.length - 1];
    if (exercise?.to === Number.POSITIVE_INFINITY) {
      if (!s.drive) exercise.to = this.now;
    } else if (s.drive !== this.drive) this.drives.push({ at: this.now, open: s.drive, world: this.world() });
    this.drive = s.drive;
  }
}

/** A circuit that may open: charged, inside the standard window, nothing against it and nothing due. */
export function atRest(settings: ConstructorParameters<typeof Bench>[0] = {}): Bench {
  return new Bench(settings).plan([]).run(IN_WINDOW);
}

/** A test in the turn in which its relay is driven to open. */
export function opening(settings: Partial<SettingsMessage> = {}, kind = TestKind.Brief): Bench {
  const b = new Bench(settings).planned(kind).run(IN_WINDOW - MINUTE_MS);
  return b.runTo(() => b.s.drive === 1, IN_WINDOW);
}

/** Gives an order. @returns why it was refused, or none */
export function order(b: Bench, what: OrderKind, arg = 0): Reason {
  return takeOrder(b.s, what, arg, b.now);
}
