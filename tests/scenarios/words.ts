// Words of a log: the contract's own names for codes, and the host's for kinds and phases.
import * as codes from '../../firmware/contract/codes';
import type { AnyRecord, EventRecord, OrderRecord, ResultRecord } from '../../firmware/contract/messages';
import { kindWord, phaseWord, TEST_KINDS, verdictWord } from '../../host/words/codes';

const { Ending, OrderKind, Phase, TestKind } = codes;

/** The names in a table of the contract, with "RelayStuckOpen" as "relay stuck open". */
function namesOf(table: 'Reason' | 'OrderKind' | 'Fitted'): Map<string, number> {
  // The compiler inlines these tables and sees no object behind them; at run time there is one.
  const members = (codes as unknown as Record<string, Record<string, number | string>>)[table];
  const found = new Map<string, number>();
  for (const [name, value] of Object.entries(members))
    if (typeof value === 'number') found.set(name.replace(/(?<=[a-z])(?=[A-Z])/g, ' ').toLowerCase(), value);
  return found;
}

export const REASONS = namesOf('Reason');
export const ORDERS = namesOf('OrderKind');
export const INPUTS = namesOf('Fitted');
export const PHASES = new Map<string, number>();
for (let phase = Phase.Starting; phase <= Phase.Fault; phase++) PHASES.set(phaseWord(phase), phase);
export const KINDS = new Map<string, number>(Object.entries(TEST_KINDS));

const nameOf = (names: Map<string, number>, code: number): string =>
  [...names].find(([, value]) => value === code)?.[0] ?? `code ${code}`;

export const reasonName = (reason: number): string => nameOf(REASONS, reason);

/** "brief of the plan, test 1", "limited by the fallback schedule", "full by order". */
function testName(r: { plan: number; test: number; type: number }): string {
  const kind = kindWord(r.type);
  if (r.plan > 0) return `${kind} test ${r.test} of the plan`;
  return `${kind} test by ${r.test > 0 ? 'the fallback schedule' : 'order'}`;
}

/** "by enable, " */
function guardWord(guard: number = Ending.All): string {
  const words = ['', 'with pulses stopped low, ', 'with pulses stopped high, ', 'by enable, '];
  return words[guard];
}

function resultLines(r: ResultRecord): string[] {
  const head = `record result ${testName(r)}, ended by ${reasonName(r.end)} after ${r.seconds} s`;
  const proof = (ms: number): string => (ms < 0 ? 'never proven' : `proven after ${ms} ms`);
  const curves = r.grid ? `, curves every ${r.grid} s` : '';
  return [
    `${head}, dark ${proof(r.openMs)}, restored ${guardWord(r.guard)}${proof(r.restoreMs)}${curves}`,
    ...r.lamps.map(([verdict, why, lit, at5, at60, last, mains], i) => {
      const reason = why === 0 ? '' : ` ${reasonName(why)}`;
      const mA = `${at5} mA at 5 s, ${at60} mA at 60 s, ${last} mA last, ${mains} mA on mains`;
      return `  lamp ${i + 1} ${verdictWord(verdict)}${reason}, lit ${lit} s, ${mA}`;
    }),
  ];
}

/** What an order asks for: "test brief", "hold 3600". */
export function orderName(what: number, arg: number): string {
  const name = nameOf(ORDERS, what);
  if (what === OrderKind.Test) return `${name} ${kindWord(arg)}`;
  return what === OrderKind.Hold || what === OrderKind.Extend ? `${name} ${arg} s` : name;
}

function orderLine(r: OrderRecord): string {
  const wish = r.do === 0 ? '' : ` ${orderName(r.do, r.arg)}`;
  const who = r.who === '' ? '' : ` by ${r.who}`;
  return `record ${r.kind}${wish}${who}: ${r.reason === 0 ? 'ok' : reasonName(r.reason)}`;
}

function eventLine(r: EventRecord): string {
  if (r.kind === 'overdue') return `record overdue ${r.arg > 0 ? `test ${r.arg}` : 'fallback schedule'}`;
  const unit = r.reason === codes.Reason.UnsteadySupply ? 'dips' : 's';
  const isGuard = r.kind === 'fault' && r.reason === codes.Reason.GuardSlow;
  const arg = r.arg === 0 ? '' : isGuard ? `, guard ${r.arg}` : `, ${r.arg} ${unit}`;
  return `record ${r.kind} ${reasonName(r.reason)}${arg}`;
}

/** A record as lines of a log; version, number, time and signature are left out. */
export function recordLines(r: AnyRecord): string[] {
  if (r.kind === 'start') return ['record start'];
  if (r.kind === 'intent') return [`record intent ${testName(r)}`];
  if (r.kind === 'result') return resultLines(r);
  if (r.kind === 'trace') return ['record trace'];
  if (r.kind === 'charge')
    return [`record charge ${reasonName(r.reason)}, ${r.arg} mA, half ${r.half} s, float ${r.float} s`];
  return ['who' in r ? orderLine(r) : eventLine(r as EventRecord)];
}

/** Kind of a test from its word, None for "window". */
export const kindOf = (word: string): number => (word === 'window' ? TestKind.None : (KINDS.get(word) ?? -1));
