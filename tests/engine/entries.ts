// The entries into the firmware that a trace holds, each named after what happens in it.
import { decode, Kind, newPacket } from '../../firmware/link/packets';
import { msOf, piecesOf } from './lines';
import type { Scenario } from './scenario';

/** Idle turns played between two entries; they are all alike. */
const IDLE_MAX = 1;
/** Longest piece of data, as a network chip delivers it. */
const PIECE_BYTES = 512;
/** Similar turns that are counted. */
const ALIKE = 4;
/** Entries right before and after a test that are always counted. */
const AROUND = 12;
const LOOP_MS = 250;

export interface Entry {
  line: string;
  ms: number;
  /** What the simulator's controller sent in it, as names of topics or packets. */
  name: string;
  pulsing: boolean;
  isIdle: boolean;
  /** What similar entries have in common. */
  alike: string;
  /** False for one of many similar entries, which is only played. */
  isCounted: boolean;
  instructions: number;
  /** Calls of the board, see shims/turns.js. */
  calls: number[];
}

function packetName(bytes: string, packet: ReturnType<typeof newPacket>): string {
  if (packet.kind === Kind.Publish) return packet.topic.split('/')[3];
  return [
    '',
    'connect',
    'connack',
    'publish',
    'puback',
    '',
    '',
    '',
    'subscribe',
    'suback',
    '',
    '',
    'ping',
    'pong',
  ][bytes.charCodeAt(0) >> 4];
}

/** Names of the packets in the hex of a line. */
function namesOf(hex: string): string {
  let bytes = Buffer.from(hex, 'hex').toString('latin1');
  const names: string[] = [];
  const packet = newPacket();
  while (bytes.length > 0) {
    const isOutgoing = [1, 8, 12].includes(bytes.charCodeAt(0) >> 4);
    const size = isOutgoing ? bytes.length : decode(bytes, packet);
    if (size <= 0) break;
    if (isOutgoing) packet.kind = Kind.None;
    names.push(packetName(bytes, packet));
    bytes = bytes.slice(size);
  }
  return names.join('+');
}

/** Lines of the trace, with only a few of the idle turns between them. */
export function entriesOf(scenario: Scenario): Entry[] {
  const sent = new Map<number, string[]>();
  const pulses: { ms: number; on: boolean }[] = [];
  for (const told of scenario.trace.told) {
    const [kind, ms, rest] = told.split(' ');
    if (kind === 'P') pulses.push({ ms: Number(ms), on: rest === '1' });
    else sent.set(Number(ms), [...(sent.get(Number(ms)) ?? []), namesOf(rest)]);
  }
  const entries: Entry[] = [];
  let pulsing = false;
  let inputs = '3';
  const add = (line: string, ms: number, name: string, isIdle: boolean) => {
    while (pulses.length > 0 && pulses[0].ms <= ms) pulsing = pulses.shift()?.on ?? false;
    entries.push({ line, ms, name, pulsing, isIdle, alike: '', isCounted: true, instructions: 0, calls: [] });
  };
  scenario.trace.given.forEach((line, i) => {
    const [kind, ms, rest] = line.split(' ');
    const at = Number(ms);
    if (kind === 'T') {
      inputs = rest;
      add(line, at, (sent.get(at) ?? []).join('+'), false);
      const following = scenario.trace.given[i + 1];
      const next = following === undefined ? at : msOf(following);
      for (let k = 1; k <= IDLE_MAX && at + k * LOOP_MS < next; k++)
        add(`T ${at + k * LOOP_MS} ${inputs}`, at + k * LOOP_MS, '', true);
    } else if (kind === 'D') {
      const pieces = piecesOf(rest, PIECE_BYTES);
      pieces.forEach((piece, k) => {
        add(`D ${ms} ${piece}`, at, k < pieces.length - 1 ? 'part of a packet' : namesOf(rest), false);
      });
    } else add(line, at, kind === 'O' ? 'opened' : 'closed', false);
  });
  return choose(entries);
}

/** Counting is slow: of similar turns only the first few are counted. */
function choose(entries: Entry[]): Entry[] {
  const seen = new Map<string, number>();
  let begun = 0;
  for (let i = 1; i < entries.length; i++) {
    const e = entries[i];
    if (e.pulsing && !entries[i - 1].pulsing) begun = e.ms;
    const since = e.ms - begun;
    e.alike = `${e.line[0]} ${e.name} ${e.pulsing} ${e.isIdle} ${since > 65_000} ${e.line.split(' ').length}`;
    const count = seen.get(e.alike) ?? 0;
    seen.set(e.alike, count + 1);
    const isSpecial =
      (since > 4000 && since < 7000) ||
      (since > 60_000 && since < 64_000) ||
      entries.slice(i, i + AROUND).some((x) => !x.pulsing);
    // The checks on mains before a test, and what is written once it has ended.
    const isNear = entries.slice(Math.max(0, i - AROUND), i + AROUND).some((x) => x.pulsing);
    e.isCounted = count < ALIKE || (!e.isIdle && (e.pulsing ? isSpecial : isNear));
    if (!e.isCounted) e.line = e.line[0].toLowerCase() + e.line.slice(1);
  }
  return entries.filter((e) => e.isCounted || !e.isIdle);
}
