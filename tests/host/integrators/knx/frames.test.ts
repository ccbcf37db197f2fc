// Datagrams of KNXnet/IP byte by byte, and whatever else arrives.
import fc from 'fast-check';
import { expect, it } from 'vitest';
import {
  ack,
  connectRequest,
  disconnectRequest,
  readFrame,
  refusalWords,
  stateRequest,
  tunnellingRequest,
} from '../../../../host/integrators/knx/frames';

const OWN = { address: '192.168.1.9', port: 50_001 };
const bytes = (text: string) => Buffer.from(text.replaceAll(' ', ''), 'hex');

it('asks for a tunnel, whether it is there, and ends it', () => {
  const own = '08 01 c0 a8 01 09 c3 51';
  expect(connectRequest(OWN)).toEqual(bytes(`06 10 02 05 00 1a ${own} ${own} 04 04 02 00`));
  expect(stateRequest(7, OWN)).toEqual(bytes(`06 10 02 07 00 10 07 00 ${own}`));
  expect(disconnectRequest(7, OWN)).toEqual(bytes(`06 10 02 09 00 10 07 00 ${own}`));
  expect(ack(7, 255)).toEqual(bytes('06 10 04 21 00 0a 04 07 ff 00'));
});

it('writes and answers one bit in the byte of the verb, and a number of 16 bits behind it', () => {
  const to = 0x2801;
  const head = '11 00 bc e0 00 00 28 01';
  const bit = tunnellingRequest(7, 1, { to, verb: 'write', type: '1.005', value: 1 });
  expect(bit).toEqual(bytes(`06 10 04 20 00 15 04 07 01 00 ${head} 01 00 81`));
  const off = tunnellingRequest(7, 1, { to, verb: 'response', type: '1.011', value: 0 });
  expect(off).toEqual(bytes(`06 10 04 20 00 15 04 07 01 00 ${head} 01 00 40`));
  const number = tunnellingRequest(7, 1, { to, verb: 'write', type: '7.001', value: 300 });
  expect(number).toEqual(bytes(`06 10 04 20 00 17 04 07 01 00 ${head} 03 00 80 01 2c`));
});

it('reads what an interface says', () => {
  const connected = { kind: 'connected', channel: 7, status: 0 };
  expect(readFrame(bytes('06 10 02 06 00 14 07 00 08 01 c0 a8 01 14 0e 57 04 04 11 0a'))).toEqual({
    ...connected,
    data: { address: '192.168.1.20', port: 3671 },
  });
  const nought = readFrame(bytes('06 10 02 06 00 14 07 00 08 01 00 00 00 00 00 00 04 04 11 0a'));
  expect(nought).toEqual({ ...connected, data: undefined });
  expect(readFrame(bytes('06 10 02 06 00 08 00 24'))).toEqual({
    ...{ kind: 'connected', channel: 0, status: 0x24, data: undefined },
  });
  expect(refusalWords(0x24)).toBe('all its tunnels are in use');
  expect(readFrame(bytes('06 10 02 08 00 08 07 21'))).toEqual({ kind: 'alive', channel: 7, status: 0x21 });
  expect(readFrame(bytes('06 10 04 21 00 0a 04 07 03 00'))).toEqual({
    ...{ kind: 'ack', channel: 7, seq: 3, status: 0 },
  });
});

it('reads what is said to group addresses, with or without further information before it', () => {
  const request = (message: string) => {
    const length = (10 + bytes(message).length).toString(16).padStart(4, '0');
    const frame = readFrame(bytes(`06 10 04 20 ${length} 04 07 02 00 ${message}`));
    expect(frame).toMatchObject({ kind: 'request', channel: 7, seq: 2 });
    return frame?.kind === 'request' ? frame.message : undefined;
  };
  const heard = { code: 'heard', to: 0x2801 };
  expect(request('29 00 bc d0 11 05 28 01 01 00 00')).toEqual({ ...heard, verb: 'read' });
  expect(request('29 00 bc d0 11 05 28 01 01 00 81')).toEqual({ ...heard, verb: 'write' });
  expect(request('29 00 bc d0 11 05 28 01 03 00 40 01 2c')).toEqual({ ...heard, verb: 'response' });
  expect(request('29 04 03 02 00 00 bc d0 11 05 28 01 01 00 00')).toEqual({ ...heard, verb: 'read' });
  expect(request('2e 00 bc e0 11 0a 28 01 01 00 81')).toEqual({ code: 'sent', to: 0x2801, verb: 'write' });
  // What the bus did not take is told by the last bit of the first control field.
  expect(request('2e 00 bd e0 11 0a 28 01 01 00 81')).toEqual({
    code: 'not sent',
    to: 0x2801,
    verb: 'write',
  });
  expect(request('29 00 bd d0 11 05 28 01 01 00 81')).toEqual({ ...heard, verb: 'write' });
  // To a device's own address, a request of another client, and one that is cut off.
  expect(request('29 00 bc 50 11 05 28 01 01 00 00')).toBeUndefined();
  expect(request('11 00 bc d0 11 05 28 01 01 00 00')).toBeUndefined();
  expect(request('29 00 bc d0 11 05 28 01 03 00 80')).toBeUndefined();
});

it('takes nothing else, and never throws', () => {
  for (const text of [
    '',
    '06 10 02 08 00 09 07 00',
    '06 10 02 08 00 07 07',
    '06 20 02 08 00 08 07 00',
    '06 10 09 99 00 08 07 00',
    '06 10 04 20 00 0a 05 07 00 00',
  ])
    expect(readFrame(bytes(text)), text).toBeUndefined();
  const services = fc.constantFrom(0x0206, 0x0208, 0x0209, 0x020a, 0x0420, 0x0421, 0x0530);
  fc.assert(
    fc.property(fc.uint8Array({ maxLength: 40 }), services, fc.boolean(), (body, service, isFramed) => {
      const head = Buffer.from([6, 0x10, service >> 8, service & 255, 0, body.length + 6]);
      const frame = readFrame(isFramed ? Buffer.concat([head, body]) : Buffer.from(body));
      if (frame?.kind === 'request' && frame.message) expect(frame.message.to).toBeLessThan(65_536);
    }),
  );
});
