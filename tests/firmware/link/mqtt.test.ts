// The client's timeouts and state. Sessions with real brokers are in mqttBrokers.test.ts.
import { describe, expect, it } from 'vitest';
import {
  LinkState,
  type Mqtt,
  mqttClosed,
  mqttData,
  mqttOpened,
  mqttPublish,
  mqttTick,
  mqttWakeAt,
} from '../../../firmware/link/mqtt';
import {
  encodeConnect,
  encodePuback,
  encodePublish,
  encodeSubscribe,
  PINGREQ,
} from '../../../firmware/link/packets';
import { ACCEPTED, bench, goOnline, OPTIONS, PINGRESP, suback, takeRest } from './bench';

describe('going online', () => {
  it('connects, subscribes to every topic and only then reports online', () => {
    const b = bench();
    mqttTick(b.m, 0);
    mqttOpened(b.m, 5);
    expect(b.written).toEqual([encodeConnect(OPTIONS)]);
    mqttData(b.m, ACCEPTED, 10);
    expect(b.written[1]).toBe(encodeSubscribe(b.m.subscribeId, OPTIONS.topics));
    expect(b.seen).toEqual(['open']);
    mqttData(b.m, suback(b.m), 15);
    expect(b.seen).toEqual(['open', 'online']);
  });

  it('is online on CONNACK when there is nothing to subscribe to', () => {
    const b = bench({ topics: [] });
    goOnline(b, 0);
    expect(b.m.state).toBe(LinkState.Online);
  });

  it('passes on messages that arrive before the SUBACK', () => {
    const b = bench();
    mqttTick(b.m, 0);
    mqttOpened(b.m, 0);
    mqttData(b.m, ACCEPTED + encodePublish('a', 'early', 1, 1, 0, 7), 0);
    takeRest(b, 0);
    mqttData(b.m, suback(b.m), 0);
    expect(b.seen).toEqual(['open', 'message a early 1', 'online']);
    expect(b.written).toContain(encodePuback(7));
  });

  it.each([1, 2, 3, 4, 5])('keeps CONNACK refusal %i and backs off', (code) => {
    const b = bench();
    mqttTick(b.m, 0);
    mqttOpened(b.m, 0);
    mqttData(b.m, `\x20\x02\x00${String.fromCharCode(code)}`, 0);
    expect(b.m.refused).toBe(code);
    expect(b.seen).toEqual(['open', 'close']);
    expect(mqttWakeAt(b.m)).toBe(1000);
  });

  it('closes when a topic is refused and keeps 0x80', () => {
    const b = bench();
    mqttTick(b.m, 0);
    mqttOpened(b.m, 0);
    mqttData(b.m, ACCEPTED, 0);
    mqttData(b.m, suback(b.m, '\x01\x80'), 0);
    expect(b.m.refused).toBe(0x80);
    expect(b.seen).toEqual(['open', 'close']);
  });

  it.each([
    ['a SUBACK for fewer topics', (m: Mqtt) => suback(m, '\x01')],
    ['a SUBACK for another request', () => '\x90\x04\x7f\x7f\x01\x01'],
    ['a second CONNACK', () => ACCEPTED],
  ])('treats %s as a protocol error', (_what, wire) => {
    const b = bench();
    mqttTick(b.m, 0);
    mqttOpened(b.m, 0);
    mqttData(b.m, ACCEPTED, 0);
    mqttData(b.m, wire(b.m), 0);
    expect(b.seen).toEqual(['open', 'close']);
    expect(b.m.refused).toBe(0);
  });

  it('treats anything before CONNACK as a protocol error (3.2)', () => {
    const b = bench();
    mqttTick(b.m, 0);
    mqttOpened(b.m, 0);
    mqttData(b.m, encodePublish('a', 'x', 0, 0, 0, 0), 0);
    expect(b.seen).toEqual(['open', 'close']);
  });
});

describe('timeouts', () => {
  it('allow TCP, CONNACK and SUBACK 10 s each', () => {
    const b = bench();
    mqttTick(b.m, 0);
    mqttTick(b.m, 9_999);
    expect(b.m.state).toBe(LinkState.Dialling);
    mqttOpened(b.m, 9_999);
    mqttTick(b.m, 19_998);
    expect(b.m.state).toBe(LinkState.Connecting);
    mqttData(b.m, ACCEPTED, 19_998);
    mqttTick(b.m, 29_997);
    expect(b.m.state).toBe(LinkState.Subscribing);
    mqttTick(b.m, 29_998);
    expect(b.m.state).toBe(LinkState.Waiting);
    expect(b.seen).toEqual(['open', 'close']);
  });

  it.each([LinkState.Dialling, LinkState.Connecting])('end state %i after 10 s', (state) => {
    const b = bench();
    mqttTick(b.m, 0);
    if (state === LinkState.Connecting) mqttOpened(b.m, 0);
    expect(mqttWakeAt(b.m)).toBe(10_000);
    mqttTick(b.m, 10_000);
    expect(b.seen).toEqual(['open', 'close']);
  });

  it('send PINGREQ within the keep alive when the client has been silent', () => {
    const b = bench();
    goOnline(b, 0);
    expect(mqttWakeAt(b.m)).toBe(30_000);
    mqttTick(b.m, 29_999);
    expect(b.written).toEqual([]);
    mqttTick(b.m, 30_000);
    expect(b.written).toEqual([PINGREQ]);
    mqttData(b.m, PINGRESP, 30_500);
    expect(mqttWakeAt(b.m)).toBe(60_000);
  });

  it('send PINGREQ even while the client only sends and receives nothing', () => {
    const b = bench();
    goOnline(b, 0);
    for (let now = 1000; now <= 30_000; now += 1000) {
      mqttTick(b.m, now);
      mqttPublish(b.m, 'live', 'x', 0, 0, now);
    }
    expect(b.written).toContain(PINGREQ);
    mqttTick(b.m, 40_000);
    expect(b.seen).toEqual(['close', 'offline']);
  });

  it('send no PINGREQ and never wake with keep alive 0', () => {
    const b = bench({ keepAliveSec: 0 });
    goOnline(b, 0);
    expect(mqttWakeAt(b.m)).toBe(Infinity);
    mqttTick(b.m, 1e9);
    expect(b.written).toEqual([]);
    expect(b.m.state).toBe(LinkState.Online);
  });

  it('close when no PINGRESP arrives within 10 s', () => {
    const b = bench();
    goOnline(b, 0);
    mqttTick(b.m, 30_000);
    expect(mqttWakeAt(b.m)).toBe(40_000);
    mqttTick(b.m, 40_000);
    expect(b.seen).toEqual(['close', 'offline']);
  });

  it('close when a PUBACK does not arrive within 20 s, whatever else arrives', () => {
    const b = bench();
    goOnline(b, 0);
    expect(mqttPublish(b.m, 'record', 'x', 1, 0, 1000)).toBeGreaterThan(0);
    expect(mqttWakeAt(b.m)).toBe(21_000);
    mqttData(b.m, encodePublish('a', 'x', 0, 0, 0, 0), 20_000);
    mqttTick(b.m, 20_999);
    expect(b.m.state).toBe(LinkState.Online);
    mqttTick(b.m, 21_000);
    expect(b.seen.slice(-2)).toEqual(['close', 'offline']);
  });

  it('never call for action before the time they name', () => {
    const b = bench();
    goOnline(b, 0);
    mqttPublish(b.m, 'record', 'x', 1, 0, 0);
    for (let now = 0; now < 20_000; now += 250) mqttTick(b.m, now);
    expect(b.seen).toEqual([]);
    expect(b.written).toHaveLength(1);
  });
});

describe('publishing', () => {
  it('reports PUBACK by the identifier it gave', () => {
    const b = bench();
    goOnline(b, 0);
    const id = mqttPublish(b.m, 'record', 'x', 1, 1, 0);
    expect(b.written).toEqual([encodePublish('record', 'x', 1, 1, 0, id)]);
    mqttData(b.m, encodePuback(id), 10);
    mqttData(b.m, encodePuback(id), 20);
    mqttData(b.m, encodePuback(0), 30);
    expect(b.seen).toEqual([`published ${id}`]);
  });

  it('returns 0 for QoS 0 and -1 when not online', () => {
    const b = bench();
    expect(mqttPublish(b.m, 'live', 'x', 0, 0, 0)).toBe(-1);
    goOnline(b, 0);
    expect(mqttPublish(b.m, 'live', 'x', 0, 0, 0)).toBe(0);
    mqttClosed(b.m, 1);
    expect(mqttPublish(b.m, 'live', 'x', 0, 0, 1)).toBe(-1);
  });

  it('refuses a fifth unacknowledged publish until one is acknowledged', () => {
    const b = bench();
    goOnline(b, 0);
    const ids = [1, 2, 3, 4].map(() => mqttPublish(b.m, 'record', 'x', 1, 0, 0));
    expect(new Set(ids).size).toBe(4);
    expect(mqttPublish(b.m, 'record', 'x', 1, 0, 0)).toBe(-1);
    mqttData(b.m, encodePuback(ids[2]), 1);
    expect(mqttPublish(b.m, 'record', 'x', 1, 0, 1)).toBeGreaterThan(0);
  });

  it('skips identifiers in use, and 0 when the count wraps', () => {
    const b = bench();
    goOnline(b, 0);
    b.m.lastId = 65_534;
    expect(mqttPublish(b.m, 'record', 'x', 1, 0, 0)).toBe(65_535);
    expect(mqttPublish(b.m, 'record', 'x', 1, 0, 0)).toBe(1);
    b.m.lastId = 65_534;
    expect(mqttPublish(b.m, 'record', 'x', 1, 0, 0)).toBe(2);
  });

  it('forgets identifiers when the connection is lost', () => {
    const b = bench();
    goOnline(b, 0);
    const id = mqttPublish(b.m, 'record', 'x', 1, 0, 0);
    mqttClosed(b.m, 10);
    goOnline(b, mqttWakeAt(b.m));
    mqttData(b.m, encodePuback(id), 2000);
    expect(b.seen).toEqual([]);
  });

  it('counts a failed write as a lost connection', () => {
    const b = bench();
    goOnline(b, 0);
    b.onWrite = () => {
      throw new Error('socket is gone');
    };
    expect(mqttPublish(b.m, 'record', 'x', 1, 0, 0)).toBe(-1);
    expect(b.seen).toEqual(['close', 'offline']);
  });
});
