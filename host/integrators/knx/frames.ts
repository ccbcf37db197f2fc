// KNXnet/IP tunnelling on the wire (KNX Standard, chapters 3/8/1 Overview, 3/8/2 Core and 3/8/4 Tunnelling, and 3/6/3
// External Message Interface; from memory). Only what a client needs that writes, is asked, and reads nothing.
import type { DatapointType } from './points';

export interface Endpoint {
  /** IPv4. */
  address: string;
  port: number;
}

/** From a KNX interface to its client. */
export type Frame =
  | { kind: 'connected'; channel: number; status: number; data: Endpoint | undefined }
  | { kind: 'alive'; channel: number; status: number }
  | { kind: 'disconnect'; channel: number }
  | { kind: 'request'; channel: number; seq: number; message: Message | undefined }
  | { kind: 'ack'; channel: number; seq: number; status: number };

/** What somebody on the bus says to a group address, or what became of what we said. */
export interface Message {
  code: 'heard' | 'sent' | 'not sent';
  to: number;
  verb: 'read' | 'response' | 'write' | 'other';
}

/** What we say to a group address. */
export interface Telegram {
  to: number;
  verb: 'response' | 'write';
  type: DatapointType;
  value: number;
}

const Service = {
  ...{ ConnectRequest: 0x0205, ConnectResponse: 0x0206, StateRequest: 0x0207, StateResponse: 0x0208 },
  ...{ DisconnectRequest: 0x0209, DisconnectResponse: 0x020a, Request: 0x0420, Ack: 0x0421 },
} as const;
const HEAD_BYTES = 6;
const VERSION = 0x10;
const ENDPOINT_BYTES = 8;
const UDP = 1;
/** Connection of the kind tunnel, on the link layer. */
const TUNNEL = [4, 4, 2, 0];
const Code = { Request: 0x11, Heard: 0x29, Sent: 0x2e } as const;
/** A standard frame, not repeated on the bus, of low priority. */
const CONTROL = 0xbc;
/** In what an interface says of our own telegrams: the bus has not taken it (3/6/3, first control field). */
const FAILED = 1;
/** To a group address, over six couplers. */
const GROUP_HOPS = 0xe0;
const GROUP = 0x80;
const VERBS = ['read', 'response', 'write'] as const;

/** Why an interface refuses a connection (3/8/2, table of error codes). */
const REFUSALS: Record<number, string> = {
  34: 'it offers no tunnel',
  36: 'all its tunnels are in use',
  41: 'it offers no tunnel on the link layer',
};

export function refusalWords(status: number): string {
  return REFUSALS[status] ?? `it refuses with code ${status}`;
}

function frame(service: number, body: readonly number[]): Buffer {
  const bytes = Buffer.from([HEAD_BYTES, VERSION, 0, 0, 0, 0, ...body]);
  bytes.writeUInt16BE(service, 2);
  bytes.writeUInt16BE(bytes.length, 4);
  return bytes;
}

const high = (word: number): number => word >> 8;
const low = (word: number): number => word & 255;

function endpointBytes({ address, port }: Endpoint): number[] {
  return [ENDPOINT_BYTES, UDP, ...address.split('.').map(Number), high(port), low(port)];
}

/** @param own where the interface is to answer */
export function connectRequest(own: Endpoint): Buffer {
  return frame(Service.ConnectRequest, [...endpointBytes(own), ...endpointBytes(own), ...TUNNEL]);
}

export function stateRequest(channel: number, own: Endpoint): Buffer {
  return frame(Service.StateRequest, [channel, 0, ...endpointBytes(own)]);
}

export function disconnectRequest(channel: number, own: Endpoint): Buffer {
  return frame(Service.DisconnectRequest, [channel, 0, ...endpointBytes(own)]);
}

export function disconnectResponse(channel: number): Buffer {
  return frame(Service.DisconnectResponse, [channel, 0]);
}

export function ack(channel: number, seq: number): Buffer {
  return frame(Service.Ack, [4, channel, seq, 0]);
}

/** A value beside the verb: one bit in the verb's own byte, a number of 16 bits behind it. */
function valueBytes({ verb, type, value }: Telegram): number[] {
  const code = VERBS.indexOf(verb) << 6;
  return type === '7.001' ? [3, 0, code, high(value), low(value)] : [1, 0, code | value];
}

export function tunnellingRequest(channel: number, seq: number, telegram: Telegram): Buffer {
  // The interface puts in its own address for the sender's.
  const message = [Code.Request, 0, CONTROL, GROUP_HOPS, 0, 0, high(telegram.to), low(telegram.to)];
  return frame(Service.Request, [4, channel, seq, 0, ...message, ...valueBytes(telegram)]);
}

/** @returns undefined for what is no telegram to a group address */
function messageIn(bytes: Buffer): Message | undefined {
  // Behind the code, as many bytes of further information as its second byte says.
  const at = 2 + (bytes[1] ?? 0);
  const isOurs = bytes[0] === Code.Sent;
  if ((!isOurs && bytes[0] !== Code.Heard) || bytes.length < at + 9 || (bytes[at + 1] & GROUP) === 0)
    return undefined;
  const length = bytes[at + 6];
  if (length < 1 || bytes.length < at + 8 + length) return undefined;
  const number = ((bytes[at + 7] & 3) << 2) | (bytes[at + 8] >> 6);
  const said = (bytes[at] & FAILED) === 0 ? 'sent' : 'not sent';
  const code = isOurs ? said : 'heard';
  return { code, to: bytes.readUInt16BE(at + 4), verb: VERBS[number] ?? 'other' };
}

function endpointIn(bytes: Buffer): Endpoint | undefined {
  if (bytes.length < ENDPOINT_BYTES || bytes[0] !== ENDPOINT_BYTES || bytes[1] !== UDP) return undefined;
  const endpoint = { address: [...bytes.subarray(2, 6)].join('.'), port: bytes.readUInt16BE(6) };
  // Nought stands for where the answer came from.
  return endpoint.address === '0.0.0.0' || endpoint.port === 0 ? undefined : endpoint;
}

/** What a datagram says; undefined for every other, whatever is in it. */
export function readFrame(bytes: Buffer): Frame | undefined {
  if (bytes.length < HEAD_BYTES + 2 || bytes[0] !== HEAD_BYTES || bytes[1] !== VERSION) return undefined;
  if (bytes.readUInt16BE(4) !== bytes.length) return undefined;
  const body = bytes.subarray(HEAD_BYTES);
  const [channel, status] = body;
  switch (bytes.readUInt16BE(2)) {
    case Service.ConnectResponse:
      return { kind: 'connected', channel, status, data: endpointIn(body.subarray(2)) };
    case Service.StateResponse:
      return { kind: 'alive', channel, status };
    case Service.DisconnectRequest:
      return { kind: 'disconnect', channel };
  }
  if (body.length < 4 || body[0] !== 4) return undefined;
  const of = { channel: body[1], seq: body[2] };
  switch (bytes.readUInt16BE(2)) {
    case Service.Request:
      return { kind: 'request', ...of, message: messageIn(body.subarray(4)) };
    case Service.Ack:
      return { kind: 'ack', ...of, status: body[3] };
  }
  return undefined;
}
