import fc from 'fast-check';
import { generate } from 'mqtt-packet';
import { describe, expect, it } from 'vitest';
import { Limit } from '../../../firmware/contract/limits';
import {
  mqttClose,
  mqttClosed,
  mqttData,
  mqttOpened,
  mqttTick,
  mqttWakeAt,
} from '../../../firmware/link/mqtt';
import { DISCONNECT, encodePuback, encodePublish } from '../../../firmware/link/packets';
import { ACCEPTED, bench, goOnline, suback, takeRest } from './bench';

describe('inbound bytes', () => {
  const message = fc.record({
    topic: fc.stringMatching(/^[a-z/]{1,20}$/),
    payload: fc.stringMatching(/^[ -~]{0,300}$/),
    qos: fc.integer({ min: 0, max: 1 }),
    retained: fc.integer({ min: 0, max: 1 }),
  });

  it('give the same messages however they are split', () => {
    fc.assert(
      fc.property(
        fc.array(message, { maxLength: 8 }),
        fc.array(fc.integer({ min: 1, max: 90 }), { minLength: 1, maxLength: 40 }),
        (messages, cuts) => {
          const b = bench();
          goOnline(b, 0);
          const wire = messages
            .map((x, i) =>
              generate(
                {
                  cmd: 'publish',
                  topic: x.topic,
                  payload: x.payload,
                  qos: x.qos as 0 | 1,
                  retain: x.retained === 1,
                  dup: false,
                  messageId: i + 1,
                },
                { protocolVersion: 4 },
              ).toString('latin1'),
            )
            .join('');
          for (let at = 0, i = 0; at < wire.length; i++) {
            const size = cuts[i % cuts.length];
            mqttData(b.m, wire.slice(at, at + size), 0);
            at += size;
            takeRest(b, 0);
          }
          expect(b.seen).toEqual(messages.map((x) => `message ${x.topic} ${x.payload} ${x.retained}`));
          expect(b.written).toEqual(messages.flatMap((x, i) => (x.qos === 1 ? [encodePuback(i + 1)] : [])));
          expect(b.m.inbound).toBe('');
        },
      ),
    );
  });

  it('that are malformed never throw, and what is kept stays below the limit', () => {
    const chunk = fc.oneof(
      fc.uint8Array({ maxLength: 200 }),
      // Starts like a packet this client accepts, so that the decoder runs.
      fc
        .tuple(fc.constantFrom(0x20, 0x30, 0x32, 0x40, 0x90, 0xd0), fc.uint8Array({ maxLength: 6000 }))
        .map(([first, rest]) => Uint8Array.from([first, ...rest])),
    );
    let kept = 0;
    fc.assert(
      fc.property(
        fc.array(chunk, { minLength: 1, maxLength: 12 }),
        fc.integer({ min: 0, max: 2 }),
        (chunks, stage) => {
          const b = bench();
          mqttTick(b.m, 0);
          mqttOpened(b.m, 0);
          if (stage > 0) mqttData(b.m, ACCEPTED, 0);
          if (stage > 1) mqttData(b.m, suback(b.m), 0);
          for (const bytes of chunks) {
            mqttData(b.m, Buffer.from(bytes).toString('latin1'), 0);
            expect(b.m.inbound.length).toBeLessThan(Limit.PacketBytes);
            kept = Math.max(kept, b.m.inbound.length);
          }
        },
      ),
    );
    expect(kept).toBeGreaterThan(0);
  });

  it('are taken one packet at a time, the next ones in later ticks', () => {
    const b = bench();
    goOnline(b, 0);
    const three = ['x', 'y', 'z'].map((text) => encodePublish('a', text, 0, 0, 0, 0)).join('');
    mqttData(b.m, three, 100);
    expect(b.seen).toEqual(['message a x 0']);
    expect(mqttWakeAt(b.m)).toBe(0);
    mqttTick(b.m, 350);
    expect(b.seen).toEqual(['message a x 0', 'message a y 0']);
    mqttTick(b.m, 600);
    expect(b.seen).toHaveLength(3);
    expect(mqttWakeAt(b.m)).toBeGreaterThan(600);
  });

  it('from a flooding broker are processed at once before they fill the memory', () => {
    const b = bench();
    goOnline(b, 0);
    const one = encodePublish('a', 'x'.repeat(1000), 0, 0, 0, 0);
    for (let i = 0; i < 50; i++) {
      mqttData(b.m, one, 0);
      expect(b.m.inbound.length).toBeLessThan(Limit.PacketBytes);
    }
    takeRest(b, 0);
    expect(b.seen).toHaveLength(50);
  });

  it('of a long message are kept once, as its payload, and forgotten with the connection', () => {
    const b = bench();
    goOnline(b, 0);
    const wire = encodePublish('a', 'x'.repeat(1000), 0, 0, 0, 0);
    mqttData(b.m, wire.slice(0, 500), 0);
    mqttData(b.m, wire.slice(500, 900), 0);
    expect(b.m.inbound).toBe('');
    expect(b.m.packet.payload.length + b.m.packet.missing).toBe(1000);
    mqttClosed(b.m, 10);
    expect([b.m.packet.payload, b.m.packet.missing]).toEqual(['', 0]);
    goOnline(b, 200_000);
    mqttData(b.m, encodePublish('a', 'y', 0, 0, 0, 0), 200_000);
    expect(b.seen.slice(-1)).toEqual(['message a y 0']);
  });

  it('that announce a packet above the limit close the connection at once', () => {
    const b = bench();
    goOnline(b, 0);
    mqttData(b.m, '\x30\xff\xff\x7f', 10);
    expect(b.seen).toEqual(['close', 'offline']);
    expect(b.m.inbound).toBe('');
  });

  it('after a close from inside a message are not passed on, and the message is not acknowledged', () => {
    const b = bench();
    goOnline(b, 0);
    b.m.events.message = () => mqttClose(b.m);
    mqttData(b.m, encodePublish('a', 'x', 1, 0, 0, 9) + encodePublish('a', 'y', 1, 0, 0, 10), 0);
    expect(b.written).toEqual([DISCONNECT]);
  });

  it('stay in step when the application throws', () => {
    const b = bench();
    goOnline(b, 0);
    const handOver = b.m.events.message;
    b.m.events.message = () => {
      throw new Error('application fault');
    };
    const two = encodePublish('a', 'x', 0, 0, 0, 0) + encodePublish('a', 'y', 0, 0, 0, 0);
    expect(() => mqttData(b.m, two, 0)).toThrow('application fault');
    b.m.events.message = handOver;
    mqttData(b.m, encodePublish('a', 'z', 0, 0, 0, 0), 0);
    takeRest(b, 0);
    expect(b.seen).toEqual(['message a y 0', 'message a z 0']);
  });
});
