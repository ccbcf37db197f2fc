import mqttPacket, { type Packet } from 'mqtt-packet';
import { describe, expect, it } from 'vitest';
import { LATENCY_MS, SimulatedWire } from '../../simulator/network';

const bytes = (packet: Packet) => mqttPacket.generate(packet, { protocolVersion: 4 }).toString('latin1');

/** A wire with what its owner heard and what the host received. */
function wire() {
  const clock = { now: 0 };
  const heard: string[] = [];
  const received: string[] = [];
  const w = new SimulatedWire(clock, (topic, payload) => received.push(`${topic} ${payload}`));
  const run = (ms: number) => {
    for (const end = clock.now + ms; w.nextAt() <= end; ) {
      clock.now = Math.max(clock.now, w.nextAt());
      w.deliver({
        opened: () => heard.push('opened'),
        data: (text) => heard.push(kindOf(text)),
        closed: () => heard.push('closed'),
      });
    }
    clock.now += ms;
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
