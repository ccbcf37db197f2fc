import fc from 'fast-check';
import { generate, type Packet as OraclePacket, parser } from 'mqtt-packet';
import { describe, expect, it } from 'vitest';
import { Limit } from '../../../firmware/contract/limits';
import {
  DISCONNECT,
  decode,
  decodeLength,
  encodeConnect,
  encodeLength,
  encodePuback,
  encodePublish,
  encodeSubscribe,
  Kind,
  newPacket,
  PINGREQ,
  SUBSCRIPTION_REFUSED,
} from '../../../firmware/link/packets';

// The oracle is the npm package mqtt-packet 9, protocol version 4 (MQTT 3.1.1).
const VERSION = { protocolVersion: 4 };

function oracleBytes(packet: OraclePacket): string {
  return generate(packet, VERSION).toString('latin1');
}

/** What the oracle reads from our bytes; throws when it calls them malformed. */
function oracleReads(bytes: string): OraclePacket[] {
  const found: OraclePacket[] = [];
  const reader = parser(VERSION);
  reader.on('packet', (packet) => found.push(packet));
  reader.on('error', (error) => {
    throw error;
  });
  reader.parse(Buffer.from(bytes, 'latin1'));
  return found;
}

const topic = fc.stringMatching(/^[a-z0-9/-]{1,60}$/);
const bytes = fc.uint8Array({ maxLength: 400 }).map((array) => Buffer.from(array).toString('latin1'));
const id = fc.integer({ min: 1, max: 65_535 });
const flag = fc.integer({ min: 0, max: 1 });

describe('packets sent', () => {
  it('CONNECT has the bytes mqtt-packet makes, with and without user, password and will', () => {
    const fields = fc.record({
      clientId: fc.stringMatching(/^[a-z0-9-]{1,40}$/),
      user: fc.stringMatching(/^[a-z]{0,12}$/),
      password: fc.stringMatching(/^[ -~]{0,20}$/),
      keepAliveSec: fc.integer({ min: 0, max: 65_535 }),
      willTopic: fc.oneof(fc.constant(''), topic),
      willPayload: bytes,
    });
    fc.assert(
      fc.property(fields, (f) => {
        const oracle = oracleBytes({
          cmd: 'connect',
          protocolId: 'MQTT',
          protocolVersion: 4,
          clean: true,
          clientId: f.clientId,
          keepalive: f.keepAliveSec,
          ...(f.user === '' && f.password === '' ? {} : { username: f.user || f.clientId }),
          ...(f.password === '' ? {} : { password: Buffer.from(f.password) }),
          ...(f.willTopic === ''
            ? {}
            : {
                will: {
                  topic: f.willTopic,
                  payload: Buffer.from(f.willPayload, 'latin1'),
                  qos: 1,
                  retain: true,
                },
              }),
        });
        expect(encodeConnect(f)).toBe(oracle);
      }),
    );
  });

  it('PUBLISH has the bytes mqtt-packet makes and reads back the same', () => {
    fc.assert(
      fc.property(topic, bytes, flag, flag, flag, id, (name, payload, qos, retain, again, messageId) => {
        const dup = qos === 1 && again === 1;
        const ours = encodePublish(name, payload, qos, retain, dup ? 1 : 0, messageId);
        const oracle = {
          cmd: 'publish' as const,
          topic: name,
          payload: Buffer.from(payload, 'latin1'),
          qos: qos as 0 | 1,
          retain: retain === 1,
          dup,
          ...(qos === 1 ? { messageId } : {}),
        };
        expect(ours).toBe(oracleBytes(oracle));
        expect(oracleReads(ours)).toMatchObject([oracle]);
      }),
    );
  });

  it('SUBSCRIBE and PUBACK have the bytes mqtt-packet makes', () => {
    fc.assert(
      fc.property(fc.array(topic, { minLength: 1, maxLength: 6 }), id, (topics, messageId) => {
        const subscriptions = topics.map((name) => ({ topic: name, qos: 1 as const }));
        expect(encodeSubscribe(messageId, topics)).toBe(
          oracleBytes({ cmd: 'subscribe', messageId, subscriptions }),
        );
        expect(encodePuback(messageId)).toBe(oracleBytes({ cmd: 'puback', messageId }));
      }),
    );
  });

  it('PINGREQ and DISCONNECT have the bytes mqtt-packet makes', () => {
    expect(PINGREQ).toBe(oracleBytes({ cmd: 'pingreq' }));
    expect(DISCONNECT).toBe(oracleBytes({ cmd: 'disconnect' }));
  });
});

describe('packets received', () => {
  it('PUBLISH made by mqtt-packet is decoded field by field', () => {
    fc.assert(
      fc.property(topic, bytes, flag, flag, id, (name, payload, qos, retain, messageId) => {
        const wire = oracleBytes({
          cmd: 'publish',
          topic: name,
          payload: Buffer.from(payload, 'latin1'),
          qos: qos as 0 | 1,
          retain: retain === 1,
          dup: false,
          ...(qos === 1 ? { messageId } : {}),
        });
        const packet = newPacket();
        expect(decode(`${wire}\xff`, packet)).toBe(wire.length);
        expect(packet).toMatchObject({
          kind: Kind.Publish,
          topic: name,
          payload,
          qos,
          retained: retain,
          id: qos === 1 ? messageId : 0,
        });
      }),
    );
  });

  it('CONNACK, PUBACK, SUBACK and PINGRESP made by mqtt-packet are decoded', () => {
    const grants = fc.array(fc.constantFrom(0, 1, 2, SUBSCRIPTION_REFUSED), { minLength: 1, maxLength: 8 });
    fc.assert(
      fc.property(id, fc.integer({ min: 0, max: 5 }), grants, (messageId, returnCode, granted) => {
        const packet = newPacket();
        expect(decode(oracleBytes({ cmd: 'connack', returnCode, sessionPresent: false }), packet)).toBe(4);
        expect(packet).toMatchObject({ kind: Kind.Connack, code: returnCode });
        expect(decode(oracleBytes({ cmd: 'puback', messageId }), packet)).toBe(4);
        expect(packet).toMatchObject({ kind: Kind.Puback, id: messageId });
        const suback = oracleBytes({ cmd: 'suback', messageId, granted });
        expect(decode(suback, packet)).toBe(suback.length);
        const code = granted.includes(SUBSCRIPTION_REFUSED) ? SUBSCRIPTION_REFUSED : 0;
        expect(packet).toMatchObject({ kind: Kind.Suback, id: messageId, count: granted.length, code });
        expect(decode(oracleBytes({ cmd: 'pingresp' }), packet)).toBe(2);
        expect(packet.kind).toBe(Kind.Pingresp);
      }),
    );
  });

  it('a packet cut anywhere asks for more bytes', () => {
    const wire = encodePublish('a/b', 'x'.repeat(200), 1, 0, 0, 10);
    for (let cut = 0; cut < wire.length; cut++) expect(decode(wire.slice(0, cut), newPacket())).toBe(0);
    expect(decode(wire, newPacket())).toBe(wire.length);
  });

  it('a PUBLISH is decoded as soon as its header is there, with the payload so far', () => {
    const wire = encodePublish('a/b', 'text', 1, 1, 0, 10);
    const head = wire.length - 4;
    for (let cut = 0; cut < wire.length; cut++) {
      const packet = newPacket();
      expect(decode(wire.slice(0, cut), packet)).toBe(0);
      expect(packet.missing).toBe(cut < head ? 0 : wire.length - cut);
      if (cut < head) continue;
      expect(packet).toMatchObject({ kind: Kind.Publish, topic: 'a/b', id: 10, qos: 1, retained: 1 });
      expect(packet.payload).toBe('text'.slice(0, cut - head));
    }
  });

  it.each([
    ['a PUBLISH with QoS 2', '\x34\x0b\x00\x03a/b\x00\x0atext'],
    ['a PUBLISH with QoS 3', '\x36\x0b\x00\x03a/b\x00\x0atext'],
    ['a PUBLISH whose topic is longer than the packet', '\x30\x04\x00\x09ab'],
    ['a PUBLISH without a topic', '\x30\x03\x00\x00x'],
    ['a PUBLISH with packet identifier 0 (2.3.1)', '\x32\x05\x00\x01a\x00\x00'],
    ['a PUBLISH without its packet identifier', '\x32\x03\x00\x01a'],
    ['a PUBLISH that is shorter than a topic length', '\x30\x01a'],
    ['a CONNACK of three bytes', '\x20\x03\x00\x00\x00'],
    ['a CONNACK with reserved flags (3.2.2.1)', '\x20\x02\x02\x00'],
    ['a PUBACK of one byte', '\x40\x01\x00'],
    ['a PUBACK with flags in its first byte', '\x42\x02\x00\x01'],
    ['a SUBACK without a return code', '\x90\x02\x00\x01'],
    ['a SUBACK with a reserved return code (3.9.3)', '\x90\x03\x00\x01\x03'],
    ['a PINGRESP with a body', '\xd0\x01x'],
    ['a SUBSCRIBE, which only clients send', '\x82\x06\x00\x01\x00\x01a\x01'],
    ['a remaining length of five bytes (2.2.3)', '\x30\x80\x80\x80\x80\x01'],
  ])('refuses %s', (_what, wire) => {
    expect(decode(wire, newPacket())).toBe(-1);
  });

  it('accepts a packet of exactly the limit and refuses one byte more before it has arrived', () => {
    const header = 3 + 2 + 1;
    const largest = encodePublish('t', 'x'.repeat(Limit.PacketBytes - header), 0, 0, 0, 0);
    expect(decode(largest, newPacket())).toBe(Limit.PacketBytes);
    const larger = encodePublish('t', 'x'.repeat(Limit.PacketBytes - header + 1), 0, 0, 0, 0);
    expect(decode(larger.slice(0, 3), newPacket())).toBe(-1);
  });
});

describe('remaining length', () => {
  // OASIS MQTT 3.1.1 (29 October 2014), 2.2.3: table 2.4 and the worked values 64 and 321 in the text.
  it.each([
    [0, '00'],
    [64, '40'],
    [127, '7f'],
    [128, '8001'],
    [321, 'c102'],
    [16_383, 'ff7f'],
    [16_384, '808001'],
    [2_097_151, 'ffff7f'],
    [2_097_152, '80808001'],
    [268_435_455, 'ffffff7f'],
  ])('%i is written and read as in OASIS MQTT 3.1.1 table 2.4', (value, hex) => {
    const wire = Buffer.from(hex, 'hex').toString('latin1');
    expect(encodeLength(value)).toBe(wire);
    expect(decodeLength(wire, 0)).toBe(value);
  });

  it('reports missing bytes and more than four', () => {
    expect(decodeLength('', 0)).toBe(-1);
    expect(decodeLength('\xff\xff\xff', 0)).toBe(-1);
    expect(decodeLength('\xff\xff\xff\xff', 0)).toBe(-2);
  });

  it('survives a round trip for every value', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 268_435_455 }), (value) => {
        expect(decodeLength(`x${encodeLength(value)}y`, 1)).toBe(value);
      }),
    );
  });
});

describe('figures of OASIS MQTT 3.1.1 (2014)', () => {
  it('CONNECT variable header with user, password, will QoS 1, clean session, keep alive 10 (figure 3.6)', () => {
    // The standard's example has no will retain; ours always retains the will: ce becomes ee.
    const wire = encodeConnect({
      clientId: 'c',
      user: 'u',
      password: 'p',
      keepAliveSec: 10,
      willTopic: 'w',
      willPayload: '0',
    });
    expect(Buffer.from(wire.slice(2, 12), 'latin1').toString('hex')).toBe('00044d51545404ee000a');
  });

  it('PUBLISH variable header of a/b with identifier 10 (3.3.2) and SUBSCRIBE payload of a/b (3.8.3)', () => {
    const publish = encodePublish('a/b', '', 1, 0, 0, 10);
    expect(Buffer.from(publish.slice(2), 'latin1').toString('hex')).toBe('0003612f62000a');
    const subscribe = encodeSubscribe(10, ['a/b']);
    expect(Buffer.from(subscribe, 'latin1').toString('hex')).toBe('8208000a0003612f6201');
  });
});
