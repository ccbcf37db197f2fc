// A DHCP client (RFC 2131, options of RFC 2132) on a UDP socket of the W5500. One step a turn, none of them
// waits: it asks for ever, and keeps an address no longer than its lease.
import { word, wordAt } from '../../contract/bytes';
import { boardEntropy } from '../system';
import {
  Block,
  Command,
  command,
  dropReceived,
  isTaken,
  NOWHERE,
  readByte,
  readSize,
  received,
  Sn,
  Status,
  sendBytes,
  writeChip,
} from './chip';

const SOCKET = 1;
const REGISTERS = 4 * SOCKET + Block.Socket;
const PORTS = word(68);
const SERVER_PORT = word(67);
const EVERYWHERE = '\xff\xff\xff\xff';
/** First and longest wait for an answer, ms (RFC 2131, 4.1), and the shortest between two renewals (4.4.5). */
const ANSWER_MS = 4000;
const ANSWER_MAX_MS = 64000;
const RENEWAL_MS = 60000;
/** Share of the lease after which it is renewed, and after which any server may do so (4.4.5). */
const RENEW_SHARE = 0.5;
const REBIND_SHARE = 0.875;
/** Longest options read of an answer, and where they begin. */
const OPTIONS_BYTES = 256;
const OPTIONS_AT = 240;
/** IP address and port of the sender, and size: in front of each datagram in the chip. */
const HEAD_BYTES = 8;

const enum Kind {
  Discover = 1,
  Offer = 2,
  Request = 3,
  Ack = 5,
  Nak = 6,
}

const enum Stage {
  Selecting = 0,
  Requesting = 1,
  Bound = 2,
  /** Asks for a longer lease, its address still valid. */
  Renewing = 3,
}

/** What the server gave; an address of '' is none. */
interface Lease {
  address: string;
  mask: string;
  gateway: string;
}

export const lease: Lease = { address: '', mask: '', gateway: '' };
let mac = '';
let stage: Stage = Stage.Selecting;
/** Whether the address offered has been requested. */
let isRequested = false;
let id = '';
let offered = '';
let server = '';
/** When the next message is due; how long to wait for its answer; when the lease began and how long it is. */
let askAt = 0;
let waitMs = ANSWER_MS;
let leasedAt = 0;
let leaseMs = 0;
/** Fields of the answer being read. */
let kind: number = 0;
let from = '';
let seconds = 0;
let mask = '';
let router = '';

function newId(): string {
  const n = boardEntropy();
  return word(n >>> 16) + word(n & 65535);
}

/** Forgets the address and begins anew at `at`. */
function discover(at: number): void {
  lease.address = '';
  stage = Stage.Selecting;
  askAt = at;
  waitMs = ANSWER_MS;
}

export function startDhcp(ownMac: string, now: number): void {
  mac = ownMac;
  discover(now);
}

/** The plug may be in another network now: asks at once, and meanwhile keeps what is valid. */
export function replugged(now: number): void {
  if (stage === Stage.Bound) stage = Stage.Renewing;
  askAt = now;
  waitMs = ANSWER_MS;
}

function option(code: number, bytes: string): string {
  return String.fromCharCode(code, bytes.length) + bytes;
}

function zeros(count: number): string {
  let out = '';
  while (out.length < count) out += '\0';
  return out;
}

/** A message of the client (RFC 2131, 2; what it contains: 4.4.1, table 5), broadcast flag set. */
function message(what: Kind, own: string): string {
  let text = '\x01\x01\x06\0' + id + '\0\0' + (own === NOWHERE ? '\x80\0' : '\0\0') + own + zeros(12);
  text += mac + zeros(202) + '\x63\x82\x53\x63' + option(53, String.fromCharCode(what));
  text += option(61, '\x01' + mac);
  if (what === Kind.Request && own === NOWHERE) text += option(50, offered) + option(54, server);
  return text + option(55, '\x01\x03') + '\xff';
}

function ask(now: number): void {
  // A request nobody answered: the search begins again.
  if (stage === Stage.Requesting && isRequested) stage = Stage.Selecting;
  isRequested = stage === Stage.Requesting;
  const isKept = stage === Stage.Renewing;
  // Only the server that gave the lease is asked first, later any.
  const isRebinding = now - leasedAt >= leaseMs * REBIND_SHARE;
  if (stage === Stage.Selecting || isKept) id = newId();
  writeChip(REGISTERS, Sn.PeerAddress, isKept && !isRebinding ? server : EVERYWHERE);
  writeChip(REGISTERS, Sn.PeerPort, SERVER_PORT);
  sendBytes(
    SOCKET,
    message(stage === Stage.Selecting ? Kind.Discover : Kind.Request, isKept ? lease.address : NOWHERE),
  );
  const left = leasedAt + leaseMs * (isRebinding ? 1 : REBIND_SHARE) - now;
  askAt = now + (isKept ? Math.max(RENEWAL_MS, left / 2) : waitMs + Math.floor((wordAt(id, 2) - 32768) / 33));
  waitMs = Math.min(2 * waitMs, ANSWER_MAX_MS);
}

/** Reads the options wanted; the rest is skipped. */
function readOptions(bytes: string): void {
  kind = 0;
  from = '';
  seconds = 0;
  mask = '\xff\xff\xff\0';
  router = NOWHERE;
  for (let at = 0; at + 1 < bytes.length && bytes.charCodeAt(at) !== 255; ) {
    const code = bytes.charCodeAt(at);
    const length = code === 0 ? -1 : bytes.charCodeAt(at + 1);
    const value = bytes.substring(at + 2, at + 2 + length);
    if (code === 53) kind = value.charCodeAt(0);
    else if (length === 4 && code === 54) from = value;
    else if (length === 4 && code === 51) seconds = wordAt(value, 0) * 65536 + wordAt(value, 2);
    else if (length === 4 && code === 1) mask = value;
    else if (length >= 4 && code === 3) router = value.substring(0, 4);
    at += 2 + length;
  }
}

function bind(address: string, now: number): void {
  lease.address = address;
  lease.mask = mask;
  lease.gateway = router;
  if (from !== '') server = from;
  stage = Stage.Bound;
  leasedAt = now;
  // One of less than a minute would be asked for all the time.
  leaseMs = Math.max(seconds, 60) * 1000;
  askAt = now + leaseMs * RENEW_SHARE;
  waitMs = ANSWER_MS;
}

/** The first 240 bytes hold the fixed fields: of them the answer to whom, and the address given. */
function take(size: number, now: number): void {
  const fixed = received(SOCKET, HEAD_BYTES, 34);
  const isOurs = fixed.charCodeAt(0) === 2 && fixed.substring(4, 8) === id && fixed.substring(28, 34) === mac;
  if (size > OPTIONS_AT && isOurs) {
    readOptions(received(SOCKET, HEAD_BYTES + OPTIONS_AT, Math.min(size - OPTIONS_AT, OPTIONS_BYTES)));
    const given = fixed.substring(16, 20);
    if (kind === Kind.Offer && stage === Stage.Selecting && lease.address === '' && from !== '') {
      offered = given;
      server = from;
      stage = Stage.Requesting;
      askAt = now;
    } else if (kind === Kind.Ack && given !== NOWHERE && stage !== Stage.Bound) bind(given, now);
    else if (kind === Kind.Nak && stage !== Stage.Bound) discover(now + ANSWER_MS);
  }
}

/** One turn: at most one command to the chip. */
export function dhcpTurn(now: number): void {
  if (stage === Stage.Bound && now < askAt) return;
  if (lease.address !== '' && now - leasedAt >= leaseMs) {
    // The chip must lose the address first: a search is sent from none.
    discover(now);
    return;
  }
  if (!isTaken(SOCKET)) return;
  if (readByte(REGISTERS, Sn.Status) !== Status.Udp) {
    writeChip(REGISTERS, Sn.Mode, '\x02');
    writeChip(REGISTERS, Sn.Port, PORTS);
    command(SOCKET, Command.Open);
    return;
  }
  if (readSize(REGISTERS, Sn.RxSize) > HEAD_BYTES) {
    const size = wordAt(received(SOCKET, 6, 2), 0);
    take(size, now);
    dropReceived(SOCKET, HEAD_BYTES + size);
  } else if (now >= askAt) {
    if (stage === Stage.Bound) stage = Stage.Renewing;
    ask(now);
  }
}
