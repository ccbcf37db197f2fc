// A current module at each luminaire, all on one two-wire bus: Modbus RTU over RS-485, with this board as the
// client. One request is on the wire at a time; answers come with the serial port's event, and a timer ends
// the wait for one, so nothing waits in a loop. A reading is a sweep: every module once, and those that were
// missed once more. MODBUS over Serial Line V1.02 (2006): frame 2.5.1, CRC 6.2.2, silence 2.5.1.1; MODBUS
// Application Protocol V1.1b3 (2012): functions 6.3 and 6.4, exceptions 7.
import { Limit } from '../../contract/limits';
import { type Inputs, Read } from '../../core/inputs';
import type { Wiring } from '../config';
import { boardNow } from '../system';
import { ANSWER_BYTES, BusTime, silenceMs } from './timing';

export interface AdcWiring {
  driver: 'modbus';
  /** The interpreter's name of the serial port, and its pins to the transceiver. */
  port: string;
  tx: string;
  rx: string;
  /** Bits per second, 9,600 or more. */
  baud: number;
  /** Even unless the modules ask for another (2.5.1); without parity there are two stop bits. */
  parity: 'even' | 'odd' | 'none';
  /** Function that reads the current: 4 for an input register, 3 for a holding register. */
  code: number;
  /** Three numbers for each lamp: address of its module, register, mA a count. */
  rows: number[];
}

const enum Stage {
  Idle = 0,
  /** A request is out. */
  Asking = 1,
  /** Its time is over; the answer may still come. */
  Late = 2,
  /** The exchange is over, and silence separates it from the next. */
  Quiet = 3,
  /** All modules have been asked. */
  Done = 4,
}

/** What is wrong with a module, added to Limit.Unheard: in the order of the reasons. */
const enum Wrong {
  Silent = 0,
  Slow = 1,
  Clash = 2,
  Garbled = 3,
}

/** Bytes kept of what follows a request. */
const FRAME_BYTES = 16;
/** Bytes of an exception. */
const EXCEPTION_BYTES = 5;
/**
 * This many damaged answers in a row whose beginning is right or which are too long: two modules answer at
 * once. Noise leaves the beginning alone a little more often than not.
 */
const CLASH_TIMES = 4;

const frame = new Uint8Array(FRAME_BYTES);
const crcTable = new Uint16Array(16);
const address = new Uint8Array(Limit.Luminaires);
const scale = new Float32Array(Limit.Luminaires);
/** The lamp before at the same module; -1: none. */
const sibling = new Int8Array(Limit.Luminaires);
/** Reading of each lamp, or in its place Limit.Unheard and up. */
const value = new Int16Array(Limit.Luminaires);
const odd = new Uint8Array(Limit.Luminaires);
/** When each lamp was last read. */
const heardAt = new Float64Array(Limit.Luminaires);

let serial: SerialPort;
let code = 0;
let quietMs = 0;
/** Requests as sent, one for each lamp. */
let requests: string[];
let stage: number = Stage.Idle;
let timer = 0;
/** `timeUp`, which needs what is defined after it. */
let whenUp: () => void;
let got = 0;
let lamp = 0;
let count = 0;
let isRetry = 0;
/** Bit for each lamp whose answer did not come in time in this sweep. */
let timedOut = 0;
let startedAt = 0;
let endedAt = 0;

/** CRC of the first bytes of the frame; 0 when they end with their own, low byte first. */
function crcOf(bytes: number): number {
  let crc = 65535;
  for (let i = 0; i < bytes; i++) {
    crc ^= frame[i];
    crc = (crc >> 4) ^ crcTable[crc & 15];
    crc = (crc >> 4) ^ crcTable[crc & 15];
  }
  return crc;
}

function setUpCrc(): void {
  for (let i = 0; i < 16; i++) {
    let crc = i;
    for (let bit = 0; bit < 4; bit++) crc = crc & 1 ? (crc >> 1) ^ 0xa001 : crc >> 1;
    crcTable[i] = crc;
  }
}

function requestText(register: number, i: number): string {
  frame[0] = address[i];
  frame[1] = code;
  frame[2] = register >> 8;
  frame[3] = register & 255;
  frame[4] = 0;
  frame[5] = 1;
  const crc = crcOf(6);
  frame[6] = crc & 255;
  frame[7] = crc >> 8;
  let text = '';
  for (let k = 0; k < 8; k++) text += String.fromCharCode(frame[k]);
  return text;
}

/** Restarts the one timer. */
function arm(ms: number): void {
  if (timer) clearTimeout(timer);
  timer = setTimeout(whenUp, ms);
}

function isLost(i: number): boolean {
  return value[i] <= Limit.UnheardLast;
}

/** Out of the test by now: asking it would only make the sweep longer. */
function isGivenUp(i: number): boolean {
  return startedAt - heardAt[i] > Limit.SampleGapMs;
}

/** Worth another try in this sweep: silent or garbled. One that answered late or twice would do so again. */
function isWorthRetry(i: number): boolean {
  const wrong = value[i] - Limit.Unheard;
  return (wrong === Wrong.Silent || wrong === Wrong.Garbled) && boardNow() - startedAt < BusTime.Extras;
}

function isToBeAsked(i: number): boolean {
  if (isGivenUp(i) || (isRetry && !isWorthRetry(i))) return false;
  const other = sibling[i];
  if (other < 0 || ((timedOut >> other) & 1) === 0) return true;
  // A late answer would be taken for that of the other lamp at the same module.
  timedOut |= 1 << i;
  value[i] = isLost(other) ? value[other] : Limit.Unheard + Wrong.Slow;
  return false;
}

/** Asks the next module, or ends the sweep. */
function askNext(): void {
  for (;;) {
    lamp++;
    if (lamp >= count) {
      if (isRetry) break;
      isRetry = 1;
      lamp = -1;
    } else if (isToBeAsked(lamp)) {
      got = 0;
      stage = Stage.Asking;
      serial.write(requests[lamp]);
      arm(BusTime.Answer);
      return;
    }
  }
  stage = Stage.Done;
  endedAt = boardNow();
}

function finish(result: number): void {
  value[lamp] = result;
  stage = Stage.Quiet;
  arm(quietMs);
}

/** What is wrong with a module that gave no sound answer. */
function lossOf(): number {
  if (got === 0) return value[lamp] === Limit.Unheard + Wrong.Slow ? value[lamp] : Limit.Unheard;
  const isBegun = frame[0] === address[lamp] && frame[1] === code && frame[2] === 2;
  odd[lamp] = got > ANSWER_BYTES || isBegun ? odd[lamp] + 1 : 0;
  if (odd[lamp] < CLASH_TIMES) return Limit.Unheard + Wrong.Garbled;
  odd[lamp] = CLASH_TIMES;
  return Limit.Unheard + Wrong.Clash;
}

/** The current in the frame: a signed count. */
function milliamps(): number {
  const raw = (frame[3] << 8) | frame[4];
  const ma = Math.round((raw < 32768 ? raw : raw - 65536) * scale[lamp]);
  if (ma > Limit.ModuleMost || ma < -Limit.ModuleMost) return Limit.RailHigh;
  return ma;
}

/** A sound answer of a module asked before: it comes late, or from a second module at that address. */
function takeForeign(): void {
  for (let i = 0; i < count; i++)
    if (address[i] === frame[0]) value[i] = Limit.Unheard + (isLost(i) ? Wrong.Slow : Wrong.Clash);
  got -= ANSWER_BYTES;
  for (let i = 0; i < got; i++) frame[i] = frame[i + ANSWER_BYTES];
}

function takeAnswer(): void {
  if (got >= ANSWER_BYTES && crcOf(ANSWER_BYTES) === 0 && frame[2] === 2) {
    if (frame[0] !== address[lamp]) {
      takeForeign();
      // A turn that took long hands over what came meanwhile in one piece.
      takeAnswer();
    } else if (frame[1] === code) {
      const isLate = stage === Stage.Late;
      odd[lamp] = 0;
      if (!isLate) heardAt[lamp] = boardNow();
      if (isLate) finish(Limit.Unheard + Wrong.Slow);
      else finish(got > ANSWER_BYTES ? Limit.Unheard + Wrong.Clash : milliamps());
    }
  } else if (got === EXCEPTION_BYTES && frame[1] & 128 && crcOf(EXCEPTION_BYTES) === 0) {
    finish(Limit.Unheard + Wrong.Garbled);
  }
}

function received(bytes: string): void {
  if (stage === Stage.Idle || stage === Stage.Done) return;
  for (let i = 0; i < bytes.length && got < FRAME_BYTES; i++) frame[got++] = bytes.charCodeAt(i);
  // More after a whole answer: two modules have the same address.
  if (stage === Stage.Quiet) finish(Limit.Unheard + Wrong.Clash);
  else takeAnswer();
}

/** Nothing more has come for as long as it may take. */
function timeUp(): void {
  timer = 0;
  if (stage === Stage.Asking) {
    const wasLost = isLost(lamp);
    value[lamp] = lossOf();
    timedOut |= 1 << lamp;
    if (got === 0 && wasLost && boardNow() - startedAt < BusTime.Extras) {
      stage = Stage.Late;
      arm(BusTime.Late);
      return;
    }
  }
  askNext();
}

export function setUpLamps(wiring: AdcWiring, _pins: Wiring): void {
  const port = global[wiring.port] as SerialPort | undefined;
  if (port === undefined) throw new Error('No serial port ' + wiring.port);
  serial = port;
  code = wiring.code;
  quietMs = Math.ceil(silenceMs(wiring.baud)) + 1;
  whenUp = timeUp;
  setUpCrc();
  requests = [];
  for (let i = 0; i * 3 < wiring.rows.length; i++) {
    address[i] = wiring.rows[i * 3];
    scale[i] = wiring.rows[i * 3 + 2];
    sibling[i] = -1;
    for (let k = 0; k < i; k++) if (address[k] === address[i]) sibling[i] = k;
    requests.push(requestText(wiring.rows[i * 3 + 1], i));
  }
  serial.setup(wiring.baud, {
    tx: new Pin(wiring.tx),
    rx: new Pin(wiring.rx),
    parity: wiring.parity,
    stopbits: wiring.parity === 'none' ? 2 : 1,
  });
  serial.on('data', received);
}

function beginSweep(now: number, lamps: number): void {
  count = lamps < requests.length ? lamps : requests.length;
  startedAt = now;
  // A pause since the last one: it was another test.
  if (now - endedAt > Limit.SampleGapMs) for (let i = 0; i < count; i++) heardAt[i] = now;
  isRetry = 0;
  timedOut = 0;
  lamp = -1;
  askNext();
}

/** The readings of the sweep that began at `since` or later; begins one where there is none. */
export function readLamps(inputs: Inputs, lamps: number, since: number): Read {
  const now = boardNow();
  const isUseful = startedAt >= since || (stage !== Stage.Idle && stage !== Stage.Done);
  if (stage === Stage.Idle || !isUseful || now - startedAt > BusTime.Stuck) beginSweep(now, lamps);
  if (stage !== Stage.Done || startedAt < since) return Read.NotYet;
  // A luminaire for which the configuration has no module is silent.
  let read: Read = Read.All;
  for (let i = 0; i < lamps; i++) {
    inputs.lamp[i] = i < count ? value[i] : Limit.Unheard;
    if (i >= count || isLost(i)) read = Read.Some;
  }
  stage = Stage.Idle;
  return read;
}
