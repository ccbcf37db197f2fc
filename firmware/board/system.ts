// Clock, watchdog, hash, entropy, and closing the consoles.
import { useOwnHash } from '../contract/signature';

let startedAt = 0;
let resetRegister = 0;

/** The network console of some builds would let anyone in. Absent elsewhere. */
export function shutConsole(): void {
  try {
    require('TelnetServer').setOptions({ mode: 'off' });
  } catch (_error) {
    // This build has no network console.
  }
}

export function setUpClock(resetRegisterAddress: number): void {
  startedAt = getTime();
  resetRegister = resetRegisterAddress;
}

/** Monotonic ms since the start. The interpreter's civil time is never set, so it never jumps. */
export function boardNow(): number {
  return Math.round((getTime() - startedAt) * 1000);
}

/** The hardware watchdog, fed by the control loop alone. */
export function armWatchdog(seconds: number): void {
  E.enableWatchdog(seconds, false);
}

export function feedWatchdog(): void {
  E.kickWatchdog();
}

export function boardSha256(bytes: string): string {
  return E.toString(require('crypto').SHA256(bytes));
}

/** The interpreter hashes a list of parts and reads a string's bytes in place. */
function hashOfTwo(head: string, text: string, length: number): string {
  const bytes = new Uint8Array(E.toArrayBuffer!(text), 0, length);
  return E.toString(require('crypto').SHA256([head, bytes]));
}

export function setUpHash(): void {
  if (E.toArrayBuffer !== undefined && hashOfTwo('a', 'bcd', 2) === boardSha256('abc')) useOwnHash(hashOfTwo);
}

export function boardEntropy(): number {
  return E.hwRand();
}

/** Top byte of the reset register, which holds the last reset cause; 0 if unknown. */
export function boardBootCause(): number {
  return resetRegister ? (peek32(resetRegister) >>> 24) & 255 : 0;
}
