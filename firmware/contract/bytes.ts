// Numbers as bytes and digits, the same on the wire, in flash and in the network chip.

/** 0 to 65,535 as two bytes, the higher first. */
export function word(value: number): string {
  return String.fromCharCode((value >> 8) & 255, value & 255);
}

/** Value of the two bytes at `at`; NaN where they are missing. */
export function wordAt(bytes: string, at: number): number {
  return bytes.charCodeAt(at) * 256 + bytes.charCodeAt(at + 1);
}

/** 0 to 65,535 as four hex digits. */
export function hex4(value: number): string {
  return ('000' + value.toString(16)).slice(-4);
}
