// The one command that replays a run, and the story of that run.
import { OrderKind } from '../../firmware/contract/codes';
import type { FaultSpec } from '../faults';
import type { Incident } from './incidents';
import type { Misfortune } from './misfortunes';
import type { Cut, HostForm, Scene } from './run';
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
export function replayCommand(
  at: RunNumber,
  cut: Cut,
  { form, core }: { form?: HostForm; core?: string | undefined } = {},
): string {
  const parts = [`npm run -s nightproof -- campaign --replay ${at.seed}:${at.run}`];
  if (form === 'real') parts.push('--real 1');
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

function misfortuneText({ kind, after, calls, offMs }: Misfortune): string {
  return `${kind}, after ${after} calls, ${calls} calls, off for ${Math.round(offMs / 1000)} s`;
}

function incidentText({ circuit, number, at, fault, order, misfortune }: Incident): string {
  const when = `  ${number}. ${timeOf(at)}`;
  if (misfortune) return `${when} host: ${misfortuneText(misfortune)}`;
  const what = fault
    ? faultText(fault)
    : order?.isReplay
      ? 'an order is played back'
      : `order: ${ORDERS[order?.do as OrderKind]} ${order?.arg}`;
  return `${when} ${circuit}: ${what}`;
}

/** What happens in a run, one line per incident. */
export function storyOf({ site, incidents }: Scene): string[] {
  const circuits = site.circuits.map(({ spec }) => `${spec.circuit} (${spec.lamps.length} luminaires)`);
  return [`${site.days} days of ${circuits.join(', ')}.`, ...incidents.map(incidentText)];
}
