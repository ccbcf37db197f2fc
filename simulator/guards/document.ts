// Tables of docs/guards.md, made from the circuit, the kept results and the failure rates.
import { type Guard, lateEndings, type Verdict, verdictOf } from './faults';
import type { Circuit, Kind, Section } from './part';
import { COMMON_SHARE, costs, type FaultRow, fitOf, guardPfd, pfdOfRow, pfdOfTwo, USUAL_PROOFS } from './pfd';
import { rateOf } from './rates';

export type Range = [least: number, most: number];

/** Worst figures of many pieces. */
export interface Measures {
  /** Pieces with a complaint, by complaint. */
  complaints: { [complaint: string]: number };
  stopsLowMs: Range;
  stopsHighMs: Range;
  enableMs: Range;
  timerSec: Range;
  hurriedSec: Range;
}

/** What the document says of many pieces at one temperature. */
interface Measured extends Measures {
  celsius: number;
  count: number;
}

const TITLES: { [section in Section]: string } = {
  coil: 'Coil and supply',
  detector: 'Pulse detector',
  enable: 'Enable',
  timer: 'Hardware timer',
};

function table(head: string[], rows: string[][]): string {
  const line = (cells: string[]) => `| ${cells.join(' | ')} |`;
  return [line(head), line(head.map(() => '---')), ...rows.map(line)].join('\n');
}

const span = ([from, to]: Range, unit: string) =>
  `${from.toLocaleString('en')} to ${to.toLocaleString('en')} ${unit}`;
/** Two digits, as 4.4e-4. */
const small = (value: number) => value.toExponential(1);

function partsTable(circuit: Circuit): string {
  const sections = Object.keys(TITLES) as Section[];
  return sections
    .map((section) => {
      const parts = circuit.parts.filter((part) => part.section === section);
      const rows = parts.map(({ id, rating, duty, pins }) => [id, rating, duty, pins.join(', ')]);
      return `**${TITLES[section]}**\n\n${table(['part', 'what to buy', 'what it is for', 'nets of its pins'], rows)}`;
    })
    .join('\n\n');
}

function spreadsTable(circuit: Circuit): string {
  const rows = circuit.spreads.map(({ part, name, low, high, source }) => [
    ...[part, name, `${low} to ${high}`, source],
  ]);
  return table(['part', 'property', 'range', 'source'], rows);
}

function piecesTable(pieces: Measured[]): string {
  const rows = pieces.map((one) => {
    const bad = Object.values(one.complaints).reduce((sum, n) => sum + n, 0);
    return [
      ...[`${one.celsius} °C`, `${one.count - bad} of ${one.count}`, span(one.stopsLowMs, 'ms')],
      ...[span(one.stopsHighMs, 'ms'), span(one.enableMs, 'ms')],
      ...[span(one.timerSec, 's'), span(one.hurriedSec, 's')],
    ];
  });
  return table(
    [
      ...['temperature', 'within limits', 'off after the last edge, pin low', 'the same, pin high'],
      ...['off after `enable` falls', 'timer', 'timer with its button'],
    ],
    rows,
  );
}

const MEANING: { [verdict in Verdict]: string } = {
  unsafe: 'the coil is held although nobody asks for it',
  'shows itself': 'safe: the coil is not held, or lets go in mid-test, and the program reports it',
  'found by a test': 'one of the three endings is late within three tests: tester fault',
  'found by a person': "the timer's button or its lamp shows it once a year; named below with its PFDavg",
  hidden: 'nothing finds it; named below with its PFDavg',
  'no effect': 'safe: every guard keeps to its limits',
};

/** "R4: open, short; R6: short" */
function listed(rows: FaultRow[]): string {
  const byPart = new Map<string, string[]>();
  for (const { part, mode } of rows) byPart.set(part, [...(byPart.get(part) ?? []), mode]);
  return [...byPart].map(([part, modes]) => `${part} ${modes.join(', ')}`).join('; ');
}

function verdictsTable(rows: FaultRow[]): string {
  const verdicts = Object.keys(MEANING) as Verdict[];
  const lines = verdicts.map((verdict) => {
    const own = rows.filter(({ seen }) => verdictOf(seen) === verdict);
    return [verdict, String(own.length), MEANING[verdict], listed(own) || 'none'];
  });
  return table(['verdict', 'faults', 'meaning', 'which'], lines);
}

/** Who finds it, and how. */
function finder(row: FaultRow): string {
  const late = lateEndings(row.seen);
  if (late.length > 0) return `test: ${late.join(', ')}`;
  const isDoubtful = verdictOf(row.seen) === 'shows itself';
  return isDoubtful ? 'person, if it does not show itself' : 'person';
}

const GUARDS: { [guard in Guard]: string } = {
  detector: 'pulse detector',
  enable: '`enable`',
  timer: 'hardware timer',
};

function costlyTable(circuit: Circuit, rows: FaultRow[]): string {
  const lines = rows
    .filter((row) => costs(row).length > 0)
    .map((row) => [
      ...[
        `${row.part} ${row.mode}`,
        costs(row)
          .map((guard) => GUARDS[guard])
          .join(),
        finder(row),
      ],
      ...[fitOf(circuit, row).toFixed(1), small(pfdOfRow(circuit, row, USUAL_PROOFS))],
    ]);
  return table(['fault', 'guard lost', 'found by', 'failures in 10⁹ h', 'PFDavg'], lines);
}

function guardsTable(circuit: Circuit, rows: FaultRow[]): string {
  const of = (guard: Guard, buttonHours = USUAL_PROOFS.buttonHours) =>
    guardPfd(circuit, rows, guard, { ...USUAL_PROOFS, buttonHours });
  const lines = (Object.keys(GUARDS) as Guard[]).map((guard) => [
    ...[GUARDS[guard], guard === 'timer' ? 'a person, yearly' : 'its ending, within three monthly tests'],
    ...[of(guard).fit.toFixed(0), small(of(guard).pfd)],
  ]);
  const monthly = of('timer', USUAL_PROOFS.testHours);
  const both = (timer: number) => small(pfdOfTwo(of('detector').pfd, timer));
  const percent = `${COMMON_SHARE * 100} % common cause`;
  return table(
    ['guard', 'proven by', 'dangerous failures in 10⁹ h', 'PFDavg'],
    [
      ...lines,
      ['hardware timer', 'a person, monthly', monthly.fit.toFixed(0), small(monthly.pfd)],
      ['program hangs: pulse detector and timer', `as above, yearly; ${percent}`, '', both(of('timer').pfd)],
      ['the same', `button monthly; ${percent}`, '', both(monthly.pfd)],
    ],
  );
}

function ratesTable(circuit: Circuit): string {
  const kinds = [...new Set(circuit.parts.map(({ kind }) => kind))] as (Kind | 'pin')[];
  const rows = [...kinds, 'pin' as const].map((kind) => [
    ...[kind === 'nfet' ? 'N-channel MOSFET' : kind === 'pfet' ? 'P-channel MOSFET' : kind],
    ...[String(rateOf(kind).fit), rateOf(kind).source],
  ]);
  return table(['kind of part', 'failures in 10⁹ h', 'from'], rows);
}

/** Each table by the name that its place in docs/guards.md has. */
export function tables(circuit: Circuit, faults: FaultRow[], pieces: Measured[]): { [name: string]: string } {
  return {
    pieces: piecesTable(pieces),
    verdicts: verdictsTable(faults),
    guards: guardsTable(circuit, faults),
    costly: costlyTable(circuit, faults),
    rates: ratesTable(circuit),
    spreads: spreadsTable(circuit),
    parts: partsTable(circuit),
  };
}

/** A document with its tables put between their marks, `<!-- name -->` and `<!-- end of name -->`. */
export function filled(document: string, contents: { [name: string]: string }): string {
  let text = document;
  for (const [name, content] of Object.entries(contents)) {
    const marks = new RegExp(`(<!-- ${name} -->\n)[^]*?(<!-- end of ${name} -->)`);
    if (!marks.test(text)) throw new Error(`The document has no place for the table "${name}".`);
    text = text.replace(marks, (_all, open: string, close: string) => `${open}\n${content}\n\n${close}`);
  }
  return text;
}
