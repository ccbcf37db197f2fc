// One request of Modbus TCP and its answer (MODBUS Application Protocol 1.1b3 and Messaging on TCP/IP 1.0b, from memory).
// Only registers are read: every other function is refused as illegal, writing among them.
/** Transaction, protocol, length, unit. */
export const HEAD_BYTES = 7;
/** Longest request with its head. */
export const REQUEST_BYTES = 260;
const READ_HOLDING = 3;
const READ_INPUT = 4;
/** Most registers in one answer. */
const COUNT_MAX = 125;
const Exception = { Function: 1, Address: 2, Value: 3, NoPath: 10, NoAnswer: 11 } as const;

/** Why there are no values: none in the map, no such unit, or one whose building is not served. */
export type Lack = 'no registers' | 'no unit' | 'not served';

const LACKS: Record<Lack, number> = {
  'no registers': Exception.Address,
  'no unit': Exception.NoPath,
  'not served': Exception.NoAnswer,
};

export interface Source {
  /** The values from a register on, or why there are none. */
  read(unit: number, from: number, count: number): Uint16Array | Lack;
}

/** Bytes of the request that `bytes` begins with, 0 until that is known, -1 if it is none. */
export function requestSize(bytes: Buffer): number {
  if (bytes.length < HEAD_BYTES) return 0;
  const length = bytes.readUInt16BE(4);
  const isOne = bytes.readUInt16BE(2) === 0 && length >= 2 && length <= REQUEST_BYTES - 6;
  return isOne ? 6 + length : -1;
}

function answered(request: Buffer, body: Uint8Array): Buffer {
  const head = Buffer.from(request.subarray(0, HEAD_BYTES));
  head.writeUInt16BE(1 + body.length, 4);
  return Buffer.concat([head, body]);
}

/** The answer to a whole request. */
export function answerTo(request: Buffer, { read }: Source): Buffer {
  const code = request[HEAD_BYTES];
  const refuse = (exception: number) => answered(request, Uint8Array.of(code | 0x80, exception));
  if (code !== READ_HOLDING && code !== READ_INPUT) return refuse(Exception.Function);
  if (request.length !== HEAD_BYTES + 5) return refuse(Exception.Value);
  const [from, count] = [request.readUInt16BE(HEAD_BYTES + 1), request.readUInt16BE(HEAD_BYTES + 3)];
  if (count < 1 || count > COUNT_MAX) return refuse(Exception.Value);
  const words = read(request[HEAD_BYTES - 1], from, count);
  if (typeof words === 'string') return refuse(LACKS[words]);
  const body = Buffer.alloc(2 + 2 * count);
  body.writeUInt8(code, 0);
  body.writeUInt8(2 * count, 1);
  words.forEach((word, i) => void body.writeUInt16BE(word, 2 + 2 * i));
  return answered(request, body);
}
