import mqttPacket, { type IPublishPacket, type Packet } from 'mqtt-packet';
import { describe, expect, it } from 'vitest';
import { OrderKind, Reason, TestKind } from '../../../firmware/contract/codes';
import { hasValidSignature } from '../../../firmware/contract/signature';
import { acknowledge, appendRecord } from '../../../firmware/journal/journal';
import { type Link, type LinkOptions, linkTurn, linkWakeAt, newLink } from '../../../firmware/link/link';
import { mqttClosed, mqttData, mqttOpened } from '../../../firmware/link/mqtt';
import { Bench } from '../core/bench';
import { ADDRESS, Door, KEY } from './door';

const OPTIONS: LinkOptions = {
  user: '',
  password: '',
  keepAliveSec: 0,
  heartbeatSec: 60,
  liveMs: 1000,
  jitter: 0,
};

/** A link whose other end is this test: it accepts, subscribes, and confirms on request. */
class Line {
  readonly door: Door;
  readonly link: Link;
  readonly published: IPublishPacket[] = [];
  now = 0;
  /** False: publishes are left unconfirmed. */
  confirms = true;
  private readonly waiting: Packet[] = [];
  private opening = false;
  private readonly parser = mqttPacket.parser({ protocolVersion: 4 });

  constructor(options: Partial<LinkOptions> = {}, door = new Door()) {
    this.door = door;
    this.parser.on('packet', (packet: Packet) => this.serve(packet));
    const net = {
      stops: 0,
      isReady: () => true,
      open: () => {
        this.opening = true;
      },
      write: (bytes: string) => void this.parser.parse(Buffer.from(bytes, 'latin1')),
      close: () => {},
    };
    const { core, journal } = this.door.inbox;
    this.link = newLink({ ...OPTIONS, ...options }, core, journal, this.door.inbox, ADDRESS, net);
  }

  private serve(packet: Packet): void {
    if (packet.cmd === 'connect') this.waiting.push({ cmd: 'connack', returnCode: 0, sessionPresent: false });
    if (packet.cmd === 'subscribe') {
      const granted = packet.subscriptions.map(() => 1 as const);
      this.waiting.push({ cmd: 'suback', messageId: packet.messageId as number, granted });
    }
    if (packet.cmd !== 'publish') return;
    this.published.push(packet);
    if (packet.qos > 0 && this.confirms) this.confirm(packet);
  }

  confirm(packet: IPublishPacket): void {
    this.waiting.push({ cmd: 'puback', messageId: packet.messageId as number });
  }

  /** Turns of the link, one every 250 ms, feeding in everything that comes back. */
  run(ms: number): this {
    for (const end = this.now + ms; this.now < end; this.now += 250) {
      if (this.opening) {
        this.opening = false;
        mqttOpened(this.link.mqtt, this.now);
      }
      linkTurn(this.link, this.now, this.door.bench.now);
      while (this.waiting.length > 0) {
        const bytes = mqttPacket.generate(this.waiting.shift() as Packet, { protocolVersion: 4 });
        mqttData(this.link.mqtt, bytes.toString('latin1'), this.now);
      }
    }
    return this;
  }

  /** What was published under this kind, parsed. */
  of(kind: string): Record<string, number | string>[] {
    const mine = this.published.filter((p) => p.topic === `nightproof/${ADDRESS}/${kind}`);
    return mine.map((p) => JSON.parse(p.payload.toString()));
  }

  give(kind: string, payload: string, retain = false): void {
    const topic = `nightproof/${ADDRESS}/${kind}`;
    const packet: Packet = { cmd: 'publish', topic, payload, qos: 0, dup: false, retain };
    const bytes = mqttPacket.generate(packet, { protocolVersion: 4 });
    mqttData(this.link.mqtt, bytes.toString('latin1'), this.now);
  }
}

function write(line: Line, count: number): void {
  for (let i = 0; i < count; i++) appendRecord(line.door.inbox.journal, [`"kind":"x","n":${i}`]);
}

describe('a link that comes online', () => {
  it('sends its presence retained, its state retained and signed, and its waiting records in order', () => {
    const line = new Line();
    write(line, 3);
    line.run(5000);
    const [first] = line.published;
    expect([first.topic, first.retain, first.qos]).toEqual([`nightproof/${ADDRESS}/presence`, true, 1]);
    expect(line.of('record').map((r) => r.seq)).toEqual([1, 2, 3]);
    const state = line.published.find((p) => p.topic.endsWith('/state')) as IPublishPacket;
    expect(state.retain).toBe(true);
    expect(hasValidSignature(KEY, 'state', ADDRESS, state.payload.toString())).toBe(true);
    for (const p of line.published.filter((x) => x.topic.endsWith('/record'))) {
      expect([p.retain, p.qos]).toEqual([false, 1]);
      expect(hasValidSignature(KEY, 'record', ADDRESS, p.payload.toString())).toBe(true);
    }
  });

  it('sends nothing before it is online', () => {
    const line = new Line();
    write(line, 1);
    linkTurn(line.link, 0, 0);
    expect(line.published).toEqual([]);
  });

  it('starts again with whatever was not confirmed when the connection is lost', () => {
    const line = new Line();
    write(line, 2);
    line.confirms = false;
    line.run(3000);
    expect(line.of('record').map((r) => r.seq)).toEqual([1]);
    mqttClosed(line.link.mqtt, line.now);
    line.confirms = true;
    line.run(20_000);
    expect(line.of('record').map((r) => r.seq)).toEqual([1, 1, 2]);
  });
});

describe('records', () => {
  it('leave one at a time, the next only when the broker has the one before', () => {
    const line = new Line();
    write(line, 3);
    line.confirms = false;
    line.run(5000);
    expect(line.of('record')).toHaveLength(1);
    line.confirm(line.published.find((p) => p.topic.endsWith('/record')) as IPublishPacket);
    line.run(1000);
    expect(line.of('record').map((r) => r.seq)).toEqual([1, 2]);
  });

  it('go out again at growing intervals while the log book is silent', () => {
    const line = new Line();
    write(line, 1);
    line.run(600_000);
    const times = line.of('record').length;
    expect(times).toBeGreaterThanOrEqual(3);
    expect(times).toBeLessThanOrEqual(5);
    acknowledge(line.door.inbox.journal, 'aaaa0001', 1);
    line.run(7_200_000);
    expect(line.of('record')).toHaveLength(times);
  });

  it('go out again soon after an acknowledgement that leaves some open, but only if it is signed', () => {
    const ack = { v: 1, journal: 'aaaa0001', through: 1 };
    const sent = (text: (line: Line) => string) => {
      const line = new Line();
      write(line, 2);
      line.run(2000);
      line.give('ack', text(line));
      line.run(5000);
      return line.of('record').map((r) => r.seq);
    };
    expect(sent((line) => line.door.signed('ack', ack))).toEqual([1, 2, 2]);
    expect(sent((line) => line.door.signed('time', ack))).toEqual([1, 2]);
    expect(sent(() => JSON.stringify(ack))).toEqual([1, 2]);
    expect(sent((line) => line.door.signed('ack', { ...ack, through: -1 }))).toEqual([1, 2]);
  });
});

describe('the state', () => {
  it('is sent at every change, at most four times a second, and as a heartbeat', () => {
    const line = new Line().run(2000);
    const before = line.of('state').length;
    line.run(600_000);
    expect(line.of('state').length - before).toBeGreaterThanOrEqual(9);
    expect(line.of('state').length - before).toBeLessThanOrEqual(11);
    const calm = line.of('state').length;
    for (let i = 0; i < 8; i++) {
      line.door.inbox.core.dirty = 1;
      line.run(250);
    }
    expect(line.of('state').length - calm).toBe(8);
  });
});

describe('an order', () => {
  it('is answered with a signed reply, even when refused', () => {
    const line = new Line().run(2000);
    line.give('order', line.door.order({ counter: 3, do: OrderKind.Restore, arg: 0 }));
    line.run(500);
    expect(line.of('reply')).toMatchObject([{ counter: 3, ok: 0, reason: Reason.NothingToDo }]);
    const reply = line.published.find((p) => p.topic.endsWith('/reply')) as IPublishPacket;
    expect(hasValidSignature(KEY, 'reply', ADDRESS, reply.payload.toString())).toBe(true);
    expect(reply.retain).toBe(false);
  });

  it('that the broker had retained is refused without an answer', () => {
    const line = new Line().run(2000);
    line.give('order', line.door.order(), true);
    line.run(500);
    expect(line.of('reply')).toEqual([]);
    expect(line.door.inbox.refused).toBe(1);
  });

  it('under a topic of an unknown kind is ignored', () => {
    const line = new Line().run(2000);
    line.give('orders', line.door.order());
    line.give('reply', line.door.order());
    line.run(500);
    expect([line.of('reply'), line.door.inbox.refused]).toEqual([[], 0]);
  });
});

describe('live readings', () => {
  it('are sent only while a test runs, no more often than asked, and never late', () => {
    const line = new Line({}, new Door(new Bench().planned(TestKind.Brief).runToDischarge())).run(2000);
    for (let i = 0; i < 40; i++) {
      line.link.hasReading = 1;
      line.run(250);
    }
    expect(line.of('live').length).toBeGreaterThanOrEqual(9);
    expect(line.of('live').length).toBeLessThanOrEqual(11);
    const during = line.of('live').length;
    line.door.bench.run(line.door.bench.now + 300_000);
    line.link.hasReading = 1;
    line.run(5000);
    expect(line.of('live')).toHaveLength(during);
  });

  it('are not sent when none are asked for', () => {
    const line = new Line({ liveMs: 0 }, new Door(new Bench().planned(TestKind.Brief).runToDischarge()));
    line.run(2000);
    line.link.hasReading = 1;
    line.run(5000);
    expect(line.of('live')).toEqual([]);
  });
});

it('wakes for the heartbeat when there is nothing else, and at once for a record', () => {
  const line = new Line().run(70_000);
  line.door.bench.perform();
  expect(linkWakeAt(line.link) - line.now).toBeGreaterThan(30_000);
  expect(linkWakeAt(line.link) - line.now).toBeLessThanOrEqual(60_000);
  write(line, 1);
  expect(linkWakeAt(line.link)).toBeLessThanOrEqual(line.now);
});
