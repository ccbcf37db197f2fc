// TCP to the broker through the interpreter's own network: Wi-Fi, or on a desktop build the computer's. Its
// connect returns only when TCP has answered or given up, up to 21 s, and no turn runs meanwhile (docs/engine.md).
// So it is called at rest only, under a longer watchdog, and after an attempt that took long only once the
// broker's machine has answered a datagram.
import { Limit } from '../../contract/limits';
import { PROBE } from '../../contract/topics';
import type { NetPort } from '../../ports';
import type { NetworkConfig } from '../config';
import { armWatchdog, boardNow } from '../system';
import type { NetEvents } from './port';

export interface NetWiring extends NetworkConfig {
  ssid?: string;
  password?: string;
}

const enum Radio {
  /** Joins the network at `radioAt`. */
  Away = 0,
  /** Has until `radioAt` to join it and get an address. */
  Joining = 1,
  Joined = 2,
}

/** Longest wait for access point and address, ms (CP). */
const JOIN_MS = 60000;
/** First and longest pause before the next attempt to join, before jitter, ms (CP). */
const JOIN_PAUSE_MS = 5000;
const JOIN_PAUSE_MAX_MS = 120000;
/** This many connections in a row that failed: the network may only seem to be there, so it is joined anew. */
const FAILED_MAX = 8;
/** Pause after an attempt that stopped the loop: when a datagram was answered, and otherwise, ms (CP). */
const ANSWERED_PAUSE_MS = 300000;
const SILENT_PAUSE_MS = 3600000;

let wiring: NetWiring;
let spread: number;
let events: NetEvents;
let socket: Socket | undefined;
/** Number of the current connection: the late end of an old one must not be taken for its end. */
let connection = 0;
/** Connections in a row that never opened. */
let failed = 0;
let radio: Radio = Radio.Away;
let radioAt = 0;
let pauseMs = JOIN_PAUSE_MS;
let isHeard = false;
/** When the last attempt that stopped the loop ended; -1: the last one did not. */
let slowAt = -1;
let datagrams: Datagrams | undefined;
let isAnswered = false;

function left(): void {
  radio = Radio.Away;
  radioAt = boardNow() + pauseMs + Math.floor(pauseMs * spread);
  pauseMs = Math.min(2 * pauseMs, JOIN_PAUSE_MAX_MS);
}

function joined(): void {
  radio = Radio.Joined;
  pauseMs = JOIN_PAUSE_MS;
  failed = 0;
}

/** The interpreter itself tries three times, once: everything after that is up to us. */
function join(now: number): void {
  // First of all: if anything below throws, the next turn must not repeat it.
  radio = Radio.Joining;
  radioAt = now + JOIN_MS;
  const wifi = require('Wifi');
  if (!isHeard) {
    wifi.on('connected', joined);
    wifi.on('disconnected', left);
    wifi.stopAP();
    isHeard = true;
  }
  wifi.connect(wiring.ssid || '', { password: wiring.password });
}

export function setUpNet(net: NetWiring, _address: string, jitter: number, on: NetEvents): void {
  wiring = net;
  spread = jitter;
  events = on;
  if (net.kind !== 'wifi') radio = Radio.Joined;
}

export function netTurn(now: number): void {
  if (wiring.kind !== 'wifi' || now < radioAt || radio === Radio.Joined) return;
  if (radio === Radio.Joining) left();
  else if (events.isQuiet()) join(now);
  else radioAt = now + Limit.AskAgainMs;
}

/** Asks the broker's machine for a sign of life, without waiting for it. */
function probe(): void {
  try {
    if (datagrams === undefined) {
      datagrams = require('dgram').createSocket('udp4');
      datagrams.on('message', function (bytes) {
        if (bytes === PROBE) isAnswered = true;
      });
      datagrams.bind(wiring.port);
    }
    datagrams.send(PROBE, wiring.port, wiring.broker);
  } catch (_error) {
    // No network, or no socket left: the turn must not end here, the next question begins anew.
    datagrams = undefined;
  }
}

function isReady(): boolean {
  if (radio !== Radio.Joined) return false;
  if (slowAt < 0) return true;
  const since = boardNow() - slowAt;
  if (since >= SILENT_PAUSE_MS || (isAnswered && since >= ANSWERED_PAUSE_MS)) return true;
  if (!isAnswered) probe();
  return false;
}

/** The attempt that began at `from` is over. */
function attempted(from: number): void {
  armWatchdog(Limit.WatchdogSec);
  const now = boardNow();
  slowAt = now - from > Limit.LoopMs ? now : -1;
  isAnswered = false;
  if (datagrams !== undefined) datagrams.close();
  datagrams = undefined;
}

function ended(number: number): void {
  if (number !== connection) return;
  socket = undefined;
  events.closed();
}

function connect(number: number): Socket {
  return require('net').connect({ host: wiring.broker, port: wiring.port }, function () {
    if (number !== connection) return;
    failed = 0;
    events.opened();
  });
}

function open(): void {
  connection++;
  failed++;
  if (failed > FAILED_MAX && wiring.kind === 'wifi') {
    failed = 0;
    left();
    throw new Error('Wi-Fi seems dead');
  }
  const number = connection;
  const from = boardNow();
  let s: Socket;
  armWatchdog(Limit.ConnectSec);
  try {
    s = connect(number);
  } catch (error) {
    attempted(from);
    throw error;
  }
  attempted(from);
  socket = s;
  s.on('data', function (bytes) {
    if (number === connection) events.data(bytes);
  });
  s.on('error', function () {});
  s.on('close', function () {
    ended(number);
  });
}

function write(bytes: string): void {
  if (socket !== undefined) socket.write(bytes);
}

function close(): void {
  connection++;
  if (socket !== undefined) socket.end();
  socket = undefined;
}

export const boardNet: NetPort = { stops: 1, isReady: isReady, open: open, write: write, close: close };
