// A small estate and a minimal host that serves it: it answers time requests, hands out settings and a plan,
// files the records in order and acknowledges them.
import { LampColumn } from '../../firmware/contract/lamps';
import type { AnyRecord, SettingsMessage, StateMessage } from '../../firmware/contract/messages';
import { slotsText } from '../../firmware/contract/plan';
import { chainHash, hasValidSignature, signingKey, signObject } from '../../firmware/contract/signature';
import type { DownKind } from '../../firmware/contract/topics';
import { Watch } from '../../simulator/checkers/watch';
import { sha256 } from '../../simulator/digest';
import { Fleet } from '../../simulator/fleet';
import type { SimulatedController } from '../../simulator/node';
import { hostClockErrorMs } from '../../simulator/plant/board';
import { type ControllerSpec, rulesIn } from '../../simulator/spec';

export const START_MS = Date.UTC(2026, 0, 10);
const START = START_MS / 1000;
const HOUR_MS = 3_600_000;
/** The window of the plan: 01:00 to 06:00 on the second night. */
export const WINDOW = { start: START + 90_000, end: START + 108_000 };
export const WINDOW_MS = 90_000_000;

export const SETTINGS: SettingsMessage = {
  v: 1,
  revision: 1,
  briefSec: 65,
  rechargeSec: 86_400,
  briefRechargeSec: 3600,
  earlyPercent: 50,
  floorPercent: 70,
  shared: 0,
  emptySec: 0,
  fitted: 15,
  cycle: 1,
  residue: 0,
  noon: 43_200,
  fallbackFrom: 3600,
  fallbackSec: 18_000,
  briefDays: 30,
  fullDays: 365,
  lamps: '0,200,0,3600;1,200,300,3600;2,200,300,3600;3,200,0,3600;',
};

export interface EstateOptions {
  /** Rows of the plan: test, kind, start, end in UTC s. */
  slots: number[][];
  settings?: Partial<SettingsMessage>;
  spec?: Partial<ControllerSpec>;
  noise?: boolean;
  seed?: number;
  isSparing?: boolean;
  /** s; 0, none, by default. */
  keepAliveSec?: number;
}

export class Estate {
  readonly fleet: Fleet;
  readonly watch = new Watch(START_MS);
  readonly node: SimulatedController;
  /** The log book: record texts in order. */
  readonly records: string[] = [];
  readonly refused: string[] = [];
  state: StateMessage | undefined;
  readonly states: StateMessage[] = [];
  readonly replies: { counter: number; ok: number; reason: number }[] = [];
  readonly live: { t: number; ma: number[]; verdict: number[] }[] = [];
  /** False: acknowledges nothing. */
  acknowledges = true;
  private readonly key = signingKey('estate secret', sha256);
  private counter = 0;

  constructor(private readonly o: EstateOptions) {
    const settings = { ...SETTINGS, ...o.settings };
    const lamps = settings.lamps
      .split(';')
      .filter(Boolean)
      .map((row, i) => {
        const columns = row.split(',').map(Number);
        return {
          id: `l${i}`,
          mode: columns[LampColumn.Mode],
          batteryMilliamps: columns[LampColumn.Battery],
          mainsMilliamps: columns[LampColumn.Mains],
          ratedSec: columns[LampColumn.Rated],
          chemistry: 'NiCd' as const,
          margin: 1.4,
        };
      });
    const spec: ControllerSpec = {
      address: 'estate/c1',
      circuit: 'c1',
      secret: 'estate secret',
      lamps,
      faults: [],
      visits: [],
      outages: [],
      neighbours: [],
      rules: {
        ...rulesIn(settings),
        slots: o.slots.map(([, , start, end]) => ({ start, end })),
        planUntil: START + 86_400 * 300,
        ratedSec: 3600,
      },
      ...o.spec,
    };
    this.fleet = new Fleet(
      {
        seed: o.seed ?? 1,
        startUtcMs: START_MS,
        controllers: [spec],
        link: { keepAliveSec: o.keepAliveSec ?? 0, heartbeatSec: 21_600, liveMs: 1000 },
        noise: o.noise ?? false,
        isSparing: o.isSparing ?? false,
      },
      (topic, payload) => this.accept(topic, payload),
      [this.watch],
    );
    this.node = this.fleet.nodes[0];
  }

  /** Parsed records, of one kind if given. */
  of(kind?: string): AnyRecord[] {
    const all = this.records.map((text) => JSON.parse(text) as AnyRecord);
    return kind === undefined ? all : all.filter((r) => r.kind === kind);
  }

  run(untilMs: number): this {
    this.fleet.run(untilMs);
    return this;
  }

  /** Sends a signed message from the host. */
  send(kind: DownKind, message: object): void {
    this.fleet.publish(`nightproof/estate/c1/${kind}`, signObject(this.key, kind, 'estate/c1', message));
  }

  /** Sends an order with a rising counter that stays valid for a few minutes. */
  order(what: number, arg = 0): void {
    const expires = Math.floor(this.fleet.utcMs() / 1000) + 300;
    this.send('order', { v: 1, counter: ++this.counter, expires, do: what, arg, who: 'test' });
  }

  private accept(topic: string, payload: string): void {
    const kind = topic.slice(topic.lastIndexOf('/') + 1);
    if (kind === 'record') this.file(payload);
    else if (kind === 'state') this.answer(JSON.parse(payload));
    else if (kind === 'reply') this.replies.push(JSON.parse(payload));
    else if (kind === 'live') this.live.push(JSON.parse(payload));
  }

  private file(text: string): void {
    const r = JSON.parse(text) as AnyRecord;
    const last = this.records[this.records.length - 1];
    const good = hasValidSignature(this.key, 'record', 'estate/c1', text);
    const isNext = r.seq === this.records.length + 1;
    const chained = !last || r.prev === chainHash(sha256, last);
    if (good && isNext && chained) this.records.push(text);
    else if (!good || r.seq > this.records.length || this.records[r.seq - 1] !== text)
      this.refused.push(text);
    if (this.acknowledges) this.send('ack', { v: 1, journal: r.journal, through: this.records.length });
  }

  private answer(state: StateMessage): void {
    this.state = state;
    this.states.push(state);
    const wrong = hostClockErrorMs(this.node.boardPlant, this.fleet.now) ?? 0;
    this.send('time', { v: 1, boot: state.boot, up: state.up, utc: this.fleet.utcMs() + wrong });
    const slots = slotsText(this.o.slots.map(([test, kind, start, end]) => ({ test, kind, start, end })));
    if (state.settings === 0) this.send('settings', { ...SETTINGS, ...this.o.settings });
    if (state.plan === 0) this.send('plan', { v: 1, revision: 1, until: START + 86_400 * 300, slots });
  }
}

export const HOURS = (n: number): number => n * HOUR_MS;
