// TCP to the broker through a W5500 on SPI, which does TCP itself. Each turn looks at its registers and takes
// one step, of at most one command and CHUNK bytes; nothing is waited for. A chip that is missing or fails, a
// cable that is out or a DHCP server that does not answer only leave the controller without a network.
import { word } from '../../contract/bytes';
import type { NetPort } from '../../ports';
import type { NetworkConfig } from '../config';
import { boardEntropy, boardSha256 } from '../system';
import {
  Block,
  CHUNK,
  Command,
  Common,
  command,
  dropReceived,
  isTaken,
  NOWHERE,
  readByte,
  readChip,
  readSize,
  received,
  Seen,
  Sn,
  Status,
  sendBytes,
  setUpChip,
  writeChip,
} from './chip';
import { dhcpTurn, lease, replugged, startDhcp } from './dhcp';
import type { NetEvents } from './port';

export interface NetWiring extends NetworkConfig {
  sck: string;
  miso: string;
  mosi: string;
  cs: string;
  /** Line to the chip's reset input; missing if it is not connected. */
  reset?: string;
  /** Fixed address, with its mask and gateway; missing: by DHCP. */
  ip?: string;
  mask?: string;
  gateway?: string;
}

const enum Stage {
  /** The chip does not answer; it is reset at `lookAt`. */
  Missing = 0,
  /** Its reset line is low. */
  Held = 1,
  /** It starts. */
  Starting = 2,
  Running = 3,
}

/** Progress of the one connection. */
const enum Tcp {
  None = 0,
  /** Wanted: the socket is closed, then opened. */
  Asked = 1,
  Opening = 2,
  Connecting = 3,
  Open = 4,
  /** Not wanted any more. */
  Leaving = 5,
}

const VERSION = 4;
/** Pause before a chip that does not answer is reset again, and between two looks at one that does, ms (CP). */
const MISSING_MS = 10000;
const LOOK_MS = 1000;
const SOCKET = Block.Socket;

let wiring: NetWiring;
let events: NetEvents;
let mac = '';
let broker = '';
let stage: Stage = Stage.Missing;
let lookAt = 0;
let isPlugged = false;
/** The address the chip has, '' none. */
let address = '';
let tcp: Tcp = Tcp.None;
let unsent = '';
let isSending = false;
/** Whether the last turn received: sending has the next one. */
let hasReceived = false;

/** The four bytes of a dotted address. */
function bytesOf(dotted: string): string {
  const parts = dotted.split('.');
  let out = '';
  for (let i = 0; i < 4; i++) out += String.fromCharCode(parseInt(parts[i], 10) & 255);
  return out;
}

/** An address of our own making, the same for good: locally administered, not a group's (IEEE 802, 8.2). */
function macOf(controller: string): string {
  const hash = boardSha256('mac ' + controller);
  return String.fromCharCode((hash.charCodeAt(0) & 0xfc) | 2) + hash.substring(1, 6);
}

export function setUpNet(net: NetWiring, controller: string, _jitter: number, on: NetEvents): void {
  wiring = net;
  events = on;
  mac = macOf(controller);
  broker = bytesOf(net.broker);
}

function setAddress(own: string, mask: string, gateway: string): void {
  address = own;
  writeChip(Block.Common, Common.Gateway, gateway + mask);
  writeChip(Block.Common, Common.Address, own === '' ? NOWHERE : own);
}

/** The connection is over, whoever ended it. */
function lost(): void {
  const wasWanted = tcp !== Tcp.None && tcp !== Tcp.Leaving;
  tcp = Tcp.None;
  unsent = '';
  isSending = false;
  if (wasWanted) events.closed();
}

function resetLine(level: number): void {
  if (!wiring.reset) return;
  const line = new Pin(wiring.reset);
  digitalWrite(line, level);
  pinMode(line, 'output');
}

function failed(now: number): void {
  stage = Stage.Missing;
  lookAt = now + MISSING_MS;
  address = '';
  isPlugged = false;
  lost();
}

/** One step towards a running chip. Data sheet 5.5.1: reset low for 0.5 ms, then 1 ms; a turn is longer. */
function startChip(now: number): void {
  if (stage === Stage.Missing) {
    // First of all: if anything below throws, the next turn must not repeat it.
    lookAt = now + MISSING_MS;
    setUpChip(wiring.sck, wiring.miso, wiring.mosi, wiring.cs);
    resetLine(0);
    stage = Stage.Held;
  } else if (stage === Stage.Held) {
    resetLine(1);
    stage = Stage.Starting;
    writeChip(Block.Common, Common.Mode, '\x80');
  } else if (readByte(Block.Common, Common.Version) !== VERSION) failed(now);
  else {
    stage = Stage.Running;
    lookAt = now;
    writeChip(Block.Common, Common.Mac, mac);
    if (wiring.ip) setAddress(bytesOf(wiring.ip), bytesOf(wiring.mask || ''), bytesOf(wiring.gateway || ''));
    else {
      setAddress('', NOWHERE, NOWHERE);
      startDhcp(mac, now);
    }
  }
}

/** A chip that has reset itself has lost its MAC address; otherwise: whether the cable leads somewhere. */
function look(now: number): void {
  lookAt = now + LOOK_MS;
  if (readChip(Block.Common, Common.Mac, 6) !== mac) {
    failed(now);
    return;
  }
  const plugged = (readByte(Block.Common, Common.Phy) & 1) === 1;
  if (plugged && !isPlugged && !wiring.ip) replugged(now);
  isPlugged = plugged;
}

/** Follows the lease. @returns whether the chip has an address */
function hasAddress(now: number): boolean {
  if (wiring.ip) return true;
  dhcpTurn(now);
  if (lease.address === address) return address !== '';
  lost();
  if (lease.address === '') setAddress('', NOWHERE, NOWHERE);
  else setAddress(lease.address, lease.mask, lease.gateway);
  return false;
}

function dial(): void {
  writeChip(SOCKET, Sn.Mode, '\x01');
  // Not the port of the connection before: the broker's end may still remember that one.
  writeChip(SOCKET, Sn.Port, word(49152 | (boardEntropy() & 16383)));
  command(0, Command.Open);
  tcp = Tcp.Opening;
}

function connect(): void {
  writeChip(SOCKET, Sn.PeerAddress, broker);
  writeChip(SOCKET, Sn.PeerPort, word(wiring.port));
  command(0, Command.Connect);
  tcp = Tcp.Connecting;
}

/** One chunk in or out. @returns whether there was one */
function transfer(): boolean {
  const waiting = readSize(SOCKET, Sn.RxSize);
  if (waiting > 0 && !(hasReceived && unsent !== '' && !isSending)) {
    const count = Math.min(waiting, CHUNK);
    const bytes = received(0, 0, count);
    dropReceived(0, count);
    hasReceived = true;
    events.data(bytes);
    return true;
  }
  hasReceived = false;
  if (unsent === '' || isSending) return false;
  const count = Math.min(unsent.length, CHUNK);
  if (readSize(SOCKET, Sn.TxFree) < count) return false;
  isSending = true;
  sendBytes(0, unsent.substring(0, count));
  unsent = unsent.substring(count);
  return true;
}

function talk(status: number, seen: number): void {
  if (seen & Seen.SendOk) isSending = false;
  if (transfer()) return;
  // The peer has finished, and everything it sent has been read.
  if (status !== Status.Established) {
    command(0, Command.Disconnect);
    lost();
  }
}

/** One step of the connection, once the chip has taken the last command. */
function tcpTurn(): void {
  if (tcp === Tcp.None || !isTaken(0)) return;
  const state = readChip(SOCKET, Sn.Interrupt, 2);
  const seen = state.charCodeAt(0);
  const status = state.charCodeAt(1);
  if (seen) writeChip(SOCKET, Sn.Interrupt, state.charAt(0));
  const isUp = status === Status.Established || status === Status.CloseWait;
  if (tcp === Tcp.Leaving) {
    if (unsent !== '' && isUp) talk(status, seen);
    else {
      if (isUp) command(0, Command.Disconnect);
      lost();
    }
  } else if (tcp === Tcp.Asked) {
    if (status === Status.Closed) dial();
    else command(0, Command.Close);
  } else if (tcp === Tcp.Opening) {
    if (status === Status.Init) connect();
  } else if (status === Status.Closed) lost();
  else if (tcp === Tcp.Open) talk(status, seen);
  else if (isUp) {
    tcp = Tcp.Open;
    events.opened();
  }
}

export function netTurn(now: number): void {
  if (stage !== Stage.Running) {
    if (stage !== Stage.Missing || now >= lookAt) startChip(now);
    return;
  }
  if (now >= lookAt) look(now);
  // Without a cable the connection is kept: it may be resumed within the patience of both ends.
  if (isPlugged && hasAddress(now)) tcpTurn();
}

function isReady(): boolean {
  return stage === Stage.Running && isPlugged && address !== '' && tcp === Tcp.None;
}

function open(): void {
  tcp = Tcp.Asked;
  unsent = '';
  isSending = false;
}

function write(bytes: string): void {
  if (tcp === Tcp.Open) unsent += bytes;
}

/** What is waiting is still sent, if the peer takes it. */
function close(): void {
  if (tcp !== Tcp.None) tcp = tcp === Tcp.Open ? Tcp.Leaving : Tcp.None;
}

export const boardNet: NetPort = { stops: 0, isReady: isReady, open: open, write: write, close: close };
