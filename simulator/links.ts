// The links of a fleet's controllers on a real broker. Their patience and their reports run in real time, whatever
// the pace of the controllers themselves.
import { type Controller, linkClosed, linkData, linkHalfTurn, linkOpened } from '../firmware/controller';
import type { LinkOptions } from '../firmware/link/link';
import type { Fleet } from './fleet';
import type { SimulatedController } from './node';
import { type BrokerPlace, TcpNet } from './tcp';

/** How controllers use their links, in real time: live readings, ms, reports and keep-alive, s. */
export type LinkTimes = Pick<LinkOptions, 'liveMs' | 'heartbeatSec' | 'keepAliveSec'>;

/** For a site whose pages people watch. */
const WATCHED: LinkTimes = { liveMs: 250, heartbeatSec: 5, keepAliveSec: 30 };

export interface LinksOptions {
  fleet: Fleet;
  broker: BrokerPlace;
  times?: LinkTimes;
  /** Called after a controller's link has had a turn, or has been given what came in. */
  onTurn?: (node: SimulatedController) => void;
}

/** Whether a turn of the link would do nothing. */
function isIdle(c: Controller, now: number): boolean {
  return c.wrote === 0 && now < c.linkAt;
}

export class LiveLinks {
  private readonly began = performance.now();

  /** Has every controller connect, all at once. */
  constructor(private readonly o: LinksOptions) {
    for (const node of o.fleet.nodes) this.connect(node);
  }

  /** A turn of every link that has something to do. */
  turn(): void {
    const now = this.realMs();
    for (const node of this.o.fleet.nodes) {
      const c = node.controller;
      if (!c || isIdle(c, now)) continue;
      linkHalfTurn(c);
      this.done(node);
    }
  }

  close(): void {
    for (const node of this.o.fleet.nodes) node.net.close();
  }

  private realMs(): number {
    return Math.floor(performance.now() - this.began) + 1;
  }

  private done(node: SimulatedController): void {
    this.o.fleet.schedule(node);
    this.o.onTurn?.(node);
  }

  private connect(node: SimulatedController): void {
    const c = node.controller;
    if (!c) return;
    const { broker, times = WATCHED } = this.o;
    node.net.close();
    node.linkSimulated = false;
    node.linkClock = () => this.realMs();
    linkClosed(c);
    // Deadlines set on the simulated clock mean nothing on the real one.
    Object.assign(c.link.options, times);
    c.link.mqtt.options.keepAliveSec = times.keepAliveSec;
    c.link.mqtt.wakeAt = 0;
    c.link.mqtt.backOffMs = 1000;
    c.link.stateAt = 0;
    c.link.heartbeatAt = 0;
    c.link.ackBy = 0;
    c.link.liveAt = 0;
    node.net = new TcpNet(broker, {
      opened: () => linkOpened(c),
      data: (bytes) => {
        linkData(c, bytes);
        this.done(node);
      },
      closed: () => linkClosed(c),
    });
  }
}
