// A frame of the bus, by the CRC of the library `modbus-serial`.
import { createRequire } from 'node:module';

export const crc16 = createRequire(import.meta.url)('modbus-serial/utils/crc16') as (bytes: Buffer) => number;

/** Bytes with their CRC, low byte first. */
export function busFrame(bytes: number[]): number[] {
  const crc = crc16(Buffer.from(bytes));
  return [...bytes, crc & 255, crc >> 8];
}
