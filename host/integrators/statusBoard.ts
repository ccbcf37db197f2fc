// Keeps the status topics of a building current: what the house knows becomes messages, and those that have changed
// go to the broker.
import { statusTopic } from '../../firmware/contract/topics';
import { guarded } from '../guarded';
import type { House } from '../house/house';
import type { Memory } from '../logbook/memory';
import { isoLocal } from '../site/civil';
import type { Site } from '../site/model';
import { type Deliver, keepRetained, type Retained } from './retained';
import { type HostStatus, STATUS_VERSION } from './schema';
import { buildingStatus, type CircuitMessages, circuitMessages } from './status';

export interface StatusBoardOptions {
  site: Site;
  simulated: boolean;
  house: Pick<House, 'past' | 'desired' | 'view'>;
  deliver: Deliver;
  memory: Memory;
  /** UTC second. */
  now(): number;
  /** Seconds of it per real second. */
  speed(): number;
  onProblem(sentence: string): void;
  /** Further messages that never change, by their topics. */
  fixed?: ReadonlyMap<string, string>;
  /** Gets what is told of a circuit each time it is looked at, and of all of them once all are known. */
  listeners?: StatusListener[];
}

export interface StatusListener {
  take?(messages: CircuitMessages): void;
  all?(messages: CircuitMessages[]): void;
  stop?(): void;
}

export interface StatusBoard {
  /** Something about a circuit may have changed; what is no circuit of the site is passed over. */
  changed(circuit: string): void;
  /** A connection to the broker has been made. */
  connected(): void;
  /** Sends the fixed messages once more. */
  repeat(): void;
  /** Says that the host stops. It never rejects. */
  stop(): Promise<void>;
}

const LOOK_MS = 1000;
/** Time in which every circuit is looked at even if nothing is heard of it: verdicts and contact age. */
const ROUND_SEC = 60;
/** Luminaires after which a turn ends, so that nothing else waits: measured, 20,000 take half a second of one core. */
const AT_ONCE = 1000;
/** Turns between two counts of the building, and two signs of life of the host. */
const COUNT_TURNS = 5;
const SIGN_TURNS = 60;
/** After a start a controller is not called silent until it has had the time for two and a half heartbeats, s. */
const SETTLE_SEC = 150;
/** Longest wait for the broker to take the last word, ms. */
const LAST_WORD_MS = 1000;

/** The last will of the host's connection. */
export function hostWill(site: Site, startedAt: number): { topic: string; text: string } {
  const gone: HostStatus = {
    ...{ v: STATUS_VERSION, online: false, startedAt: isoLocal(site.timeZone, startedAt), at: null },
  };
  return { topic: statusTopic(site.id, 'host', ''), text: JSON.stringify(gone) };
}

/** Every topic a site's status may be on, but for the host's own. */
function topicsOf(site: Site): string[] {
  return [
    statusTopic(site.id, 'building', ''),
    ...site.circuits.map(({ id }) => statusTopic(site.id, 'circuit', id)),
    ...site.circuits.flatMap(({ luminaires }) =>
      luminaires.map(({ id }) => statusTopic(site.id, 'luminaire', id)),
    ),
  ];
}

class Board implements StatusBoard {
  private readonly told: Retained;
  private readonly timer: NodeJS.Timeout;
  private readonly startedAt: number;
  private readonly ids: string[];
  private readonly isOne: ReadonlySet<string>;
  private readonly known = new Map<string, CircuitMessages>();
  private readonly dirty = new Set<string>();
  private turns = 0;
  private position = 0;

  constructor(private readonly o: StatusBoardOptions) {
    this.startedAt = o.now();
    this.ids = o.site.circuits.map(({ id }) => id);
    this.isOne = new Set(this.ids);
    for (const id of this.ids) this.dirty.add(id);
    const { fixed = new Map() } = o;
    const topics = [...topicsOf(o.site), ...fixed.keys()];
    this.told = keepRetained({ deliver: o.deliver, memory: o.memory, topics });
    for (const [topic, text] of fixed) this.told.offer(topic, text);
    this.timer = setInterval(
      guarded(() => this.look(), o.onProblem),
      LOOK_MS,
    );
  }

  changed(circuit: string): void {
    if (this.isOne.has(circuit)) this.dirty.add(circuit);
  }

  connected(): void {
    this.sign();
    this.told.connected();
  }

  repeat(): void {
    this.told.repeat(this.o.fixed?.keys() ?? []);
  }

  async stop(): Promise<void> {
    clearInterval(this.timer);
    this.told.stop();
    for (const listener of this.o.listeners ?? []) listener.stop?.();
    const { topic, text } = hostWill(this.o.site, this.startedAt);
    const late = new Promise((resolve) => setTimeout(resolve, LAST_WORD_MS).unref());
    await Promise.race([this.o.deliver(topic, text).catch(() => {}), late]);
  }

  private sign(): void {
    const { site, now } = this.o;
    const { topic } = hostWill(site, this.startedAt);
    const [startedAt, at] = [this.startedAt, now()].map((time) => isoLocal(site.timeZone, time));
    const here: HostStatus = { v: STATUS_VERSION, online: true, startedAt, at };
    // Without a connection it is said when there is one.
    void this.o.deliver(topic, JSON.stringify(here)).catch(() => {});
  }

  private look(): void {
    this.turns++;
    for (let n = Math.ceil(this.ids.length / ROUND_SEC); n > 0; n--)
      this.dirty.add(this.ids[this.position++ % this.ids.length]);
    let left = AT_ONCE;
    for (const id of this.dirty) {
      if (left <= 0) break;
      this.dirty.delete(id);
      left -= this.lookAt(id);
    }
    if (this.turns % COUNT_TURNS === 0) this.count();
    if (this.turns % SIGN_TURNS === 0) this.sign();
  }

  /** @returns how many luminaires it has */
  private lookAt(id: string): number {
    const { site, house, now, speed } = this.o;
    const messages = circuitMessages(site, house, id, now());
    const isSettled = now() - this.startedAt >= SETTLE_SEC * Math.max(1, speed());
    if (messages.circuit.contact !== 'reporting' && !isSettled && !this.known.has(id))
      return messages.luminaires.length;
    this.known.set(id, messages);
    for (const listener of this.o.listeners ?? []) listener.take?.(messages);
    this.told.offer(statusTopic(site.id, 'circuit', id), JSON.stringify(messages.circuit));
    for (const one of messages.luminaires)
      this.told.offer(statusTopic(site.id, 'luminaire', one.luminaire), JSON.stringify(one));
    return messages.luminaires.length;
  }

  private count(): void {
    const { site, simulated } = this.o;
    if (this.known.size < this.ids.length) return;
    const all = [...this.known.values()];
    for (const listener of this.o.listeners ?? []) listener.all?.(all);
    const building = buildingStatus(site, simulated, all);
    this.told.offer(statusTopic(site.id, 'building', ''), JSON.stringify(building));
  }
}

/** Keeps the status topics current until it is stopped. */
export function startStatusBoard(o: StatusBoardOptions): StatusBoard {
  return new Board(o);
}
