// A clock chip with its time in BCD in registers 00h to 06h: seconds, minutes, hours, day of the week, day,
// month, year. Control 0Eh, and status 0Fh with the oscillator-stopped flag as its top bit, which the chip sets
// when its cell failed and only a program clears. Address 68h. After the data sheet of the DS3231 (Maxim
// 19-5170, "Timekeeping registers", "Control register (0Eh)", "Status register (0Fh)"; from memory).

export interface ChipWiring {
  driver: 'bcd';
  sda: string;
  scl: string;
}

const ADDRESS = 0x68;
const CONTROL = 0x0e;
const STATUS = 0x0f;
const STOPPED = 0x80;
/** Oscillator runs on the cell too, no square wave. */
const ON_CELL = 0x04;
/** 1 January 2000, UTC s: the chip's two digits of the year count from there. */
const EPOCH = 946684800;
/** Days from 1 March 1996, when a cycle of leap years begins, to the epoch. */
const CYCLE_DAYS = 1401;
const LAST = 36524 * 86400 + 86399;
/** Clock pulses that free a chip which was interrupted while it sent a byte. */
const FREEING = 9;

let bus: I2cPort | undefined;
let sda: Pin;
let scl: Pin;
/** Register number 0, then the registers of the time in `value`. */
const value = new Uint8Array(8);

export function setUpClockChip(wiring: ChipWiring | undefined): void {
  bus = undefined;
  if (wiring === undefined) return;
  sda = new Pin(wiring.sda);
  scl = new Pin(wiring.scl);
  // In software: it runs on any pins, and its waits are bounded.
  bus = new I2C();
  bus.setup({ sda: sda, scl: scl, bitrate: 100000 });
}

function put(register: number, n: number): void {
  value[register + 1] = ((n / 10) << 4) | (n % 10);
}

/** The registers of a time, seconds since the epoch. */
function encode(sec: number): void {
  const days = Math.floor(sec / 86400);
  const left = sec - days * 86400;
  put(0, left % 60);
  put(1, Math.floor(left / 60) % 60);
  put(2, Math.floor(left / 3600));
  put(3, 1 + (days % 7));
  // Years that begin in March: the leap day is the last of four.
  const n = days + CYCLE_DAYS;
  const year = Math.floor((4 * n + 3) / 1461);
  const day = n - Math.floor((1461 * year) / 4);
  const month = Math.floor((5 * day + 2) / 153);
  put(4, 1 + day - Math.floor((153 * month + 2) / 5));
  put(5, month < 10 ? month + 3 : month - 9);
  put(6, (month < 10 ? year - 4 : year - 3) % 100);
}

function digits(byte: number): number {
  return (byte >> 4) * 10 + (byte & 15);
}

/**
 * Seconds since the epoch; -1 for anything but the very bytes that `encode` makes: so no digit above 9, no
 * 12-hour mode, no century flag, no 30 February and no wrong day of the week passes.
 */
function decode(bytes: Uint8Array): number {
  const month = digits(bytes[5]);
  const year = digits(bytes[6]) + (month < 3 ? 3 : 4);
  const n =
    Math.floor((1461 * year) / 4) + Math.floor((153 * ((month + 9) % 12) + 2) / 5) + digits(bytes[4]) - 1;
  const sec = (n - CYCLE_DAYS) * 86400 + digits(bytes[2]) * 3600 + digits(bytes[1]) * 60 + digits(bytes[0]);
  if (!(sec >= 0 && sec <= LAST)) return -1;
  encode(sec);
  for (let i = 0; i < 7; i++) if (value[i + 1] !== bytes[i]) return -1;
  return sec;
}

/** Whether both lines are free. On one that is held low every bit would be waited for. */
function isFree(): boolean {
  for (let i = 0; i < FREEING && digitalRead(scl) && !digitalRead(sda); i++) {
    digitalWrite(scl, 0);
    digitalWrite(scl, 1);
  }
  return digitalRead(scl) === 1 && digitalRead(sda) === 1;
}

function readTime(port: I2cPort): number {
  return isFree() ? decode(port.readReg(ADDRESS, 0, 7)) : -1;
}

/** @throws whatever the bus reports */
function readChip(port: I2cPort): number {
  const first = readTime(port);
  if (first < 0 || !isFree() || port.readReg(ADDRESS, STATUS, 1)[0] & STOPPED) return 0;
  // Twice, as noise rarely makes the same time two times; the second may have ended in between.
  const again = readTime(port);
  return again === first || again === first + 1 ? again + EPOCH : 0;
}

export function chipTime(): number {
  if (bus === undefined) return -1;
  try {
    return readChip(bus);
  } catch (_error) {
    return 0;
  }
}

export function setChipTime(utcSec: number): number {
  if (bus === undefined || !isFree()) return 0;
  try {
    // No year at first, and the true one last: a power cut in between leaves no time that could be believed.
    bus.writeTo(ADDRESS, 6, 0xff);
    encode(utcSec - EPOCH);
    bus.writeTo(ADDRESS, value);
    bus.writeTo(ADDRESS, CONTROL, ON_CELL, 0);
  } catch (_error) {
    return 0;
  }
  const back = chipTime() - utcSec;
  return back === 0 || back === 1 ? 1 : 0;
}
