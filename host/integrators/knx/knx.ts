// The state of buildings for a KNX bus: written when it changes, at the start and in rounds, and answered when it is asked for.
// Nothing that anybody on the bus writes is taken for anything.
import { setTimeout as pause } from 'node:timers/promises';
import { guarded } from '../../guarded';
import { retryMs } from '../../network/retry';
import type { Site } from '../../site/model';
import { counted } from '../../words/counted';
import { buildingStatus, type CircuitMessages } from '../status';
import type { StatusListener } from '../statusBoard';
import { addressText } from './address';
import type { Telegram } from './frames';
import { Outbox } from './outbox';
import { HOST, POINTS, type Point, type ThingKind } from './points';
import { matchRows, placeIn, type Row } from './table';
import { type Fate, openTunnel, type Tunnel, WAITS, type Waits } from './tunnel';

export interface KnxPlace {
  /** KNX interface: address or name. */
  host: string;
  port: number;
  /** Which point has which group address. */
  rows: readonly Row[];
}

export interface Pace {
  waits: Waits;
  /** Least time between two telegrams, ms. */
  gapMs: number;
  /** Time between two signs of life, and two rounds of everything else, ms. */
  hostMs: number;
  roundMs: number;
  /** A building that nobody has looked at for this long is not said to be watched: more than a start takes, ms. */
  unwatchedMs: number;
  /** Wait between two connections. */
  retry: { leastMs: number; mostMs: number };
}

/** A twisted pair carries some 40 telegrams a second (9,600 bit/s, from memory): others need it too. */
const PACE: Pace = {
  ...{ waits: WAITS, gapMs: 100, hostMs: 60_000, roundMs: 600_000, unwatchedMs: 180_000 },
  retry: { leastMs: 1000, mostMs: 60_000 },
};
/** A connection that lasted this long was a good one, ms. */
const STEADY_MS = 60_000;
/** Longest wait for the bus to take the last word, ms. */
const LAST_WORD_MS = 1000;

const FAILURES: Partial<Record<Fate, string>> = {
  refused: 'the bus does not take it',
  unsaid: 'the interface does not say that the bus has it',
};

export interface KnxOptions {
  place: KnxPlace;
  onProblem(sentence: string): void;
  pace?: Partial<Pace>;
}

export interface KnxBuilding extends Required<Pick<StatusListener, 'take' | 'all'>> {
  /** Says that the building is served no more. */
  leave(): void;
}

export interface Knx {
  /** Tells a building from now on. */
  of(site: Site, simulated: boolean): KnxBuilding;
  close(): Promise<void>;
}

/** Says what of a site the table does not fit. */
function tellMisfits({ strange, missing }: ReturnType<typeof matchRows>, { id }: Site, o: KnxOptions): void {
  if (strange.length > 0)
    o.onProblem(
      `The table of group addresses has ${counted(strange.length, 'row')} of what is not in ${id}, such as ${strange[0].what} ${strange[0].id}; they are not told.`,
    );
  if (missing.length > 0)
    o.onProblem(
      `The table of group addresses lacks ${counted(missing.length, 'point')} of ${id}, such as ${missing[0].name}; add them with \`nightproof knx-addresses\`.`,
    );
}

class Bus implements Knx {
  private readonly outbox: Outbox;
  private readonly pace: Pace;
  private readonly ended = new AbortController();
  private readonly timers: NodeJS.Timeout[];
  /** Tells the hosts of those that are looked at. */
  private readonly signs = new Set<() => void>();
  private tunnel: Tunnel | undefined;
  private isTold = false;
  /** It was said that the bus does not take everything. */
  private isStuckTold = false;
  private isLeaving = false;
  private wake: () => void = () => {};
  private onIdle: () => void = () => {};

  constructor(private readonly o: KnxOptions) {
    this.pace = { ...PACE, ...o.pace };
    this.outbox = new Outbox(() => this.wake());
    const every = (ms: number, work: () => void) => setInterval(guarded(work, o.onProblem), ms);
    this.timers = [
      every(this.pace.hostMs, () => {
        for (const sign of this.signs) sign();
      }),
      every(this.pace.roundMs, () => this.outbox.round()),
    ];
    this.run().catch((error: Error) => o.onProblem(error.message));
  }

  of(site: Site, simulated: boolean): KnxBuilding {
    const match = matchRows(this.o.place.rows, site);
    tellMisfits(match, site, this.o);
    const { addresses } = match;
    const { outbox, signs } = this;
    const { unwatchedMs } = this.pace;
    const put = <T>(what: ThingKind, id: string, points: readonly Point<T>[], from: T): void => {
      for (const { name, type, of } of points) {
        const to = addresses.get(placeIn(what, id, name));
        if (to !== undefined) outbox.set(to, type, of(from));
      }
    };
    const host = addresses.get(placeIn('building', site.id, HOST.name));
    let lookedAt = -Infinity;
    const isWatched = (): boolean => performance.now() - lookedAt < unwatchedMs;
    const sign = (): void => {
      if (host === undefined) return;
      if (isWatched()) outbox.tell(host, HOST.type, HOST.of(true)!);
      // Neither a round, a new connection nor an answer may say it either.
      else outbox.forget(host);
    };
    signs.add(sign);
    return {
      take({ circuit, luminaires }: CircuitMessages) {
        const isFirst = !isWatched();
        lookedAt = performance.now();
        if (isFirst) sign();
        put('circuit', circuit.circuit, POINTS.circuit, circuit);
        for (const one of luminaires) put('luminaire', one.luminaire, POINTS.luminaire, one);
      },
      all: (messages) => put('building', site.id, POINTS.building, buildingStatus(site, simulated, messages)),
      leave() {
        signs.delete(sign);
        for (const to of addresses.values()) outbox.forget(to);
        if (host !== undefined) outbox.tell(host, HOST.type, HOST.of(false)!);
      },
    };
  }

  async close(): Promise<void> {
    for (const timer of this.timers) clearInterval(timer);
    this.isLeaving = true;
    if (this.tunnel) {
      const idle = new Promise<void>((resolve) => {
        this.onIdle = resolve;
      });
      this.wake();
      await Promise.race([idle, pause(LAST_WORD_MS, undefined, { ref: false })]);
      await this.tunnel?.close();
    }
    this.ended.abort();
  }

  private get isOver(): boolean {
    return this.ended.signal.aborted;
  }

  /** It waits for so long, unless the host ends. */
  private async rest(ms: number): Promise<void> {
    await pause(ms, undefined, { signal: this.ended.signal }).catch(() => {});
  }

  private async run(): Promise<void> {
    for (let failures = 0; !this.isOver; failures++) {
      const since = performance.now();
      const why = await this.connection();
      if (this.isOver || this.isLeaving) return;
      this.complain(why);
      if (performance.now() - since > STEADY_MS) failures = 0;
      await this.rest(retryMs(failures, this.pace.retry));
    }
  }

  /** Makes a connection and uses it. @returns why it is over, or there was none */
  private async connection(): Promise<string> {
    const { host, port } = this.o.place;
    const { signal } = this.ended;
    try {
      this.tunnel = await openTunnel({
        ...{ host, port, waits: this.pace.waits, signal, onRead: (address) => this.outbox.ask(address) },
      });
    } catch (error) {
      return (error as Error).message;
    }
    if (this.isTold) this.o.onProblem(`${this.name()} is connected now.`);
    this.isTold = false;
    this.outbox.all();
    const over = this.tunnel.over.finally(() => {
      this.tunnel = undefined;
      this.wake();
    });
    await this.tellAll(this.tunnel);
    return over;
  }

  /** Tells what there is to tell until the connection is over. */
  private async tellAll(tunnel: Tunnel): Promise<void> {
    while (this.tunnel === tunnel) {
      const telegram = this.outbox.next();
      if (telegram) {
        this.settle(telegram, await tunnel.send(telegram));
        // The last words have little time.
        if (!this.isLeaving) await this.rest(this.pace.gapMs);
      } else {
        this.onIdle();
        await new Promise<void>((resolve) => {
          this.wake = resolve;
        });
      }
    }
  }

  /** Notes what became of a telegram, and says once that the bus does not take everything, and that it does again. */
  private settle(telegram: Telegram, fate: Fate): void {
    const { outbox } = this;
    if (fate === 'taken') outbox.taken(telegram);
    else if (fate === 'lost with the connection') outbox.putBack(telegram);
    else outbox.failed(telegram);
    const stuck = outbox.firstStuck();
    if ((stuck !== undefined) === this.isStuckTold) return;
    this.isStuckTold = stuck !== undefined;
    this.o.onProblem(
      stuck === undefined
        ? 'The KNX bus takes what it is told again.'
        : `The KNX bus has not taken what it was told for ${addressText(stuck)} (${FAILURES[fate]}); still trying.`,
    );
  }

  private name(): string {
    const { host, port } = this.o.place;
    return `The KNX interface ${host}:${port}`;
  }

  private complain(why: string): void {
    if (!this.isTold) this.o.onProblem(`${this.name()} cannot be used (${why}); still trying.`);
    this.isTold = true;
  }
}

/** Connects to a KNX interface and stays connected until it is closed. */
export function openKnx(o: KnxOptions): Knx {
  return new Bus(o);
}
