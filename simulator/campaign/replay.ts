// The one command that replays a run, and the story of that run.
import { OrderKind } from '../../firmware/contract/codes';
import type { FaultSpec } from '../faults';
import type { Incident } from './incidents';
import type { Cut, Scene } from './run';
import { type RunNumber, START_UTC_MS } from './site';

const ORDERS: Record<OrderKind, string> = {
  [OrderKind.Restore]: 'restore the supply',
  [OrderKind.Hold]: 'hold',
  [OrderKind.Release]: 'end the hold',
  [OrderKind.ClearFault]: 'clear the fault',
  [OrderKind.Test]: 'test',
  [OrderKind.Extend]: 'extend the test',
  [OrderKind.Trace]: 'take down a trace',
  [OrderKind.SendAgain]: 'send the records again',
};

/** The options of `campaign` that reproduce exactly this run. */
export function replayCommand(at: RunNumber, cut: Cut, core?: string): string {
  const parts = [`npm run -s nightproof -- campaign --replay ${at.seed}:${at.run}`];
  if (cut.keep) parts.push(`--keep ${cut.keep.length > 0 ? cut.keep.join(',') : 'none'}`);
  if (cut.circuits) parts.push(`--circuits ${cut.circuits.join(',')}`);
  if (cut.lamps !== undefined) parts.push(`--lamps ${cut.lamps}`);
  if (cut.days !== undefined) parts.push(`--days ${cut.days}`);
  if (core !== undefined) parts.push(`--core "${core}"`);
  return parts.join(' ');
}

function timeOf(ms: number): string {
  return new Date(START_UTC_MS + ms).toISOString();
}

function faultText(fault: FaultSpec): string {
  const details = Object.entries(fault).flatMap(([name, value]) => {
    if (name === 'kind' || name === 'at') return [];
    if (name === 'to' || name === 'repairedAt') return [`until ${timeOf(value as number)}`];
    return [`${name} ${value}`];
  });
  return [fault.kind, ...details].join(', ');
}

function incidentText({ circuit, number, at, fault, order }: Incident): string {
  const what = fault
    ? faultText(fault)
    : order?.isReplay
      ? 'an order is played back'
      : `order: ${ORDERS[order?.do as OrderKind]} ${order?.arg}`;
  return `  ${number}. ${timeOf(at)} ${circuit}: ${what}`;
}

/** What happens in a run, one line per incident. */
export function storyOf({ site, incidents }: Scene): string[] {
  const circuits = site.circuits.map(({ spec }) => `${spec.circuit} (${spec.lamps.length} luminaires)`);
  return [`${site.days} days of ${circuits.join(', ')}.`, ...incidents.map(incidentText)];
}
