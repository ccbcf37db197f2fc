import mqttPacket, { type Packet } from 'mqtt-packet';
import { describe, expect, it } from 'vitest';
import { type Impairments, newImpairments } from '../../simulator/impairments';
import { SimulatedWire } from '../../simulator/network';
import { newRandom } from '../../simulator/random';
import { LATENCY_MS } from '../../simulator/wire';

const bytes = (packet: Packet) => mqttPacket.generate(packet, { protocolVersion: 4 }).toString('latin1');

/** A wire, with what its owner received and what the host received. */
function wire() {
  const clock = { now: 0 };
  const heard: string[] = [];
  const received: string[] = [];
  const w = new SimulatedWire(clock, (topic, payload) => received.push(`${topic} ${payload}`));
  const run = (ms: number) => {
    const end = clock.now + ms;
    while (w.nextAt() <= end) {
      clock.now = Math.max(clock.now, w.nextAt());
      w.deliver({
        opened: () => heard.push('opened'),
        data: (text) => heard.push(kindOf(text)),
        closed: () => heard.push('closed'),
      });
    }
    clock.now = end;
  };
  return { w, clock, heard, received, run };
}

function kindOf(text: string): string {
  let kind = '';
  const parser = mqttPacket.parser({ protocolVersion: 4 });
  parser.on('packet', (p: Packet) => {
    kind = p.cmd === 'publish' ? `${p.topic} ${p.payload}` : p.cmd;
  });
  parser.parse(Buffer.from(text, 'latin1'));
  return kind;
}

const CONNECT: Packet = {
  cmd: 'connect',
  clientId: 'c',
  protocolId: 'MQTT',
  protocolVersion: 4,
  clean: true,
  keepalive: 0,
};
const SUBSCRIBE: Packet = { cmd: 'subscribe', messageId: 1, subscriptions: [{ topic: 'a/order', qos: 1 }] };
const PUBLISH: Packet = {
  cmd: 'publish',
  topic: 'a/record',
  payload: 'x',
  qos: 1,
  messageId: 2,
  dup: false,
  retain: false,
};

describe('the simulated wire', () => {
  it('accepts, subscribes, confirms and passes on, each after its delay', () => {
    const t = wire();
    t.w.open();
    expect(t.w.nextAt()).toBe(LATENCY_MS);
    t.run(100);
    for (const packet of [CONNECT, SUBSCRIBE, PUBLISH, { cmd: 'pingreq' } as Packet])
      t.w.write(bytes(packet));
    expect(t.heard).toEqual(['opened']);
    t.run(LATENCY_MS);
    expect(t.heard).toEqual(['opened', 'connack', 'suback', 'puback', 'pingresp']);
    expect(t.received).toEqual(['a/record x']);
  });

  it('delivers from the host only what is subscribed, and only while connected', () => {
    const t = wire();
    t.w.publish('a/order', 'early');
    t.w.open();
    t.run(100);
    t.w.publish('a/order', 'unsubscribed');
    t.w.write(bytes(SUBSCRIBE));
    t.w.publish('a/order', 'good');
    t.w.publish('b/order', 'for another');
    t.run(100);
    expect(t.heard).toEqual(['opened', 'suback', 'a/order good']);
    t.w.close();
    t.w.publish('a/order', 'late');
    t.run(100);
    expect(t.heard).toHaveLength(3);
  });

  it('refuses while it is down, loses what is under way, and forgets subscriptions', () => {
    const t = wire();
    t.w.open();
    t.run(100);
    t.w.write(bytes(SUBSCRIBE));
    expect(t.w.setReachable(false)).toBe(true);
    expect(t.w.setReachable(false)).toBe(false);
    t.run(100);
    expect(t.heard).toEqual(['opened']);
    t.w.open();
    t.run(100);
    expect(t.heard).toEqual(['opened', 'closed']);
    t.w.setReachable(true);
    t.w.open();
    t.run(100);
    t.w.publish('a/order', 'x');
    t.run(100);
    expect(t.heard).toEqual(['opened', 'closed', 'opened']);
  });
});

describe('in bad impairments', () => {
  /** A connected wire with this planted. */
  function stormy(prepare: (impairments: Impairments) => void) {
    const t = wire();
    t.w.impairments = newImpairments(newRandom(1));
    t.w.open();
    t.run(100);
    t.w.write(bytes(SUBSCRIBE));
    t.run(100);
    prepare(t.w.impairments);
    t.heard.length = 0;
    return t;
  }
  const numbered = (n: number): Packet => ({ ...PUBLISH, payload: String(n), messageId: n });

  it('everything is late by what is planted, both ways, and in order', () => {
    const t = stormy((w) => w.delays.push({ from: 0, to: 1000, delayMs: 500 }));
    t.w.write(bytes(numbered(1)));
    t.w.write(bytes(numbered(2)));
    t.w.publish('a/order', 'x');
    t.run(499);
    expect([t.received, t.heard]).toEqual([[], []]);
    t.run(21);
    expect([t.received, t.heard]).toEqual([['a/record 1', 'a/record 2'], ['a/order x']]);
    t.run(2000);
    expect(t.heard).toEqual(['a/order x', 'puback', 'puback']);
    t.w.write(bytes(numbered(3)));
    t.run(LATENCY_MS);
    expect(t.heard).toHaveLength(4);
  });

  it('a partition holds up what is under way and a new connection until it ends', () => {
    const t = stormy((w) => w.partitions.push({ from: 200, to: 5000 }));
    t.w.write(bytes(numbered(1)));
    t.run(4799);
    expect([t.received, t.heard]).toEqual([[], []]);
    t.run(1 + LATENCY_MS);
    expect([t.received, t.heard]).toEqual([['a/record 1'], ['puback']]);
    const fresh = stormy((w) => w.partitions.push({ from: 200, to: 5000 }));
    fresh.w.write(bytes(numbered(1)));
    fresh.w.close();
    fresh.w.open();
    fresh.run(4800);
    expect([fresh.received, fresh.heard]).toEqual([[], []]);
    fresh.run(LATENCY_MS);
    expect([fresh.received, fresh.heard]).toEqual([[], ['opened']]);
  });

  it('messages are lost and doubled both ways in the share planted, though the broker confirms them', () => {
    const t = stormy((w) => {
      w.losses.push({ from: 0, to: 1e6, share: 0.3 });
      w.duplications.push({ from: 0, to: 1e6, share: 0.5 });
    });
    for (let n = 1; n <= 1000; n++) {
      t.w.write(bytes(numbered(n)));
      t.w.publish('a/order', String(n));
      t.run(50);
    }
    const orders = t.heard.filter((text) => text !== 'puback');
    expect(t.heard.length - orders.length).toBe(1000);
    for (const texts of [t.received, orders]) {
      const once = new Set(texts);
      expect(once.size).toBeGreaterThan(640);
      expect(once.size).toBeLessThan(760);
      expect(texts.length / once.size).toBeGreaterThan(1.43);
      expect(texts.length / once.size).toBeLessThan(1.57);
    }
  });

  it('messages overtake each other, and each arrives once', () => {
    const t = stormy((w) => w.reorderings.push({ from: 0, to: 1e6, delayMs: 3000 }));
    const sent = Array.from({ length: 20 }, (_, i) => i + 1);
    for (const n of sent) {
      t.w.write(bytes(numbered(n)));
      t.w.publish('a/order', String(n));
    }
    t.run(4000);
    const numbers = (texts: string[]) =>
      texts.filter((s) => s !== 'puback').map((s) => Number(s.split(' ')[1]));
    for (const texts of [t.received, t.heard]) {
      expect(numbers(texts)).not.toEqual(sent);
      expect(numbers(texts).sort((a, b) => a - b)).toEqual(sent);
    }
  });

  it('ends and leaves no trace', () => {
    const t = stormy((w) => {
      w.losses.push({ from: 0, to: 300, share: 1 });
      w.partitions.push({ from: 0, to: 300 });
    });
    t.run(200);
    t.w.write(bytes(numbered(1)));
    t.w.publish('a/order', 'x');
    t.run(LATENCY_MS);
    expect([t.received, t.heard]).toEqual([['a/record 1'], ['puback', 'a/order x']]);
  });
});
