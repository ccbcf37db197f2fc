// A report on a period: all that is found out, and the document made of it.
import type { DefectView } from '../api/defects';
import { type DueDuty, dueDuties } from '../duties/due';
import { dutiesOf } from '../duties/duties';
import type { Defect } from '../house/defects/defect';
import type { Finding } from '../house/notes/inspections';
import { type DefectSources, openDefects, unprovenCounts } from '../house/view/defects';
import type { KeyRing } from '../keys';
import type { Logbook } from '../logbook/logbook';
import { profileFor, type RuleProfile } from '../profiles/profile';
import { hostSigner } from '../proof/hostKey';
import { keyText } from '../proof/verifierKey';
import type { Site } from '../site/model';
import { counted } from '../words/counted';
import { type BookState, bookDeviations, bookState, silentCircuits } from './book';
import { type Deviation, type DeviationKind, isOpen } from './findings';
import { type Gathered, gather } from './gather';
import type { LampStory } from './lamps';
import { lateTests } from './late';
import type { Period } from './period';
import type { Turns } from './turns';

export interface ReportOptions {
  site: Site;
  logbook: Pick<Logbook, 'after' | 'page' | 'tree' | 'checkpoints' | 'memory'>;
  keys: KeyRing;
  period: Period;
  /** UTC second. */
  now: number;
  /** The controllers are simulated: said on the first sheet. */
  simulated: boolean;
  /** What the controllers of a running host last reported; without it nobody knows who is heard. */
  contacts?: DefectSources['contacts'];
  turns: Turns;
}

export interface ReportedDefect extends Defect {
  /** The circuit in which it was, if the site file no longer has the luminaire. */
  goneFrom: string | undefined;
}

/** A defect of a luminaire that is gone is open no more, though nothing showed that it was mended. */
export function isBroken({ closed, goneFrom }: ReportedDefect): boolean {
  return closed === null && goneFrom === undefined;
}

export interface Report extends Omit<ReportOptions, 'keys'> {
  profile: RuleProfile;
  found: Gathered;
  book: BookState;
  /** Open ones first, then by time. */
  deviations: Deviation[];
  defects: ReportedDefect[];
  /** Circuits and luminaires that no test has proven for too long, now. */
  unproven: DefectView[];
  /** What people found and nobody has seen in order since, the oldest first. */
  findings: Finding[];
  /** What people must look at, the most overdue first. */
  duties: DueDuty[];
  /** Luminaires of the site file in its order. */
  lamps: LampStory[];
}

function inOrder(all: Deviation[]): Deviation[] {
  return all.sort((a, b) => Number(isOpen(b)) - Number(isOpen(a)) || a.at - b.at);
}

/** What is about circuits and luminaires only, and ends with them. */
const OF_PARTS: readonly DeviationKind[] = [
  ...(['test void', 'tester fault', 'hold', 'test overdue', 'charging'] as const),
];

/** What was open about a part that the site file no longer has is over with it, nobody knows when. */
function endedWith(site: Site, found: Gathered, one: Deviation): Deviation {
  if (!isOpen(one) || !OF_PARTS.includes(one.what)) return one;
  const gone = !site.circuits.some(({ id }) => id === one.circuit)
    ? 'The circuit is'
    : one.luminaires.length > 0 && one.luminaires.every((id) => !found.lampOf(id))
      ? 'These luminaires are'
      : '';
  if (gone === '') return one;
  return { ...one, isGone: true, text: `${one.text} ${gone} no longer in the site file.` };
}

/** Defects that were open at any time of the period. */
function defectsOf({ defects, gone, closed }: Gathered, period: Period): ReportedDefect[] {
  const { fromSec, toSec } = period;
  const mended = closed.filter((one) => one.closed!.at >= fromSec);
  const all = [...defects.open(), ...gone.open(period), ...mended];
  return all
    .map((one) => ({ ...one, goneFrom: gone.circuitOf(one.luminaire) }))
    .filter(({ opened }) => opened.at < toSec)
    .sort((a, b) => Number(isBroken(b)) - Number(isBroken(a)) || a.opened.at - b.opened.at);
}

/** Reads the log book once and finds out what the report says. @throws LogbookError if it cannot be read */
export async function makeReport(o: ReportOptions): Promise<Report> {
  const { site, period, logbook, now, contacts, simulated } = o;
  const profile = profileFor(site);
  const found = await gather(logbook, o);
  const key = keyText(hostSigner(o.keys, site.id).key);
  const book = await bookState(logbook, found.entries, key);
  const about = { site, period, logbook, found, now, simulated, ...(contacts && { contacts }) };
  const all = [
    ...bookDeviations(about, book),
    ...found.records,
    ...(await silentCircuits(about, found.lastRecord)),
    ...found.troubles.ofPeriod(),
    ...lateTests({ site, profile, period, now, begins: found.begins }, (lamp, circuit) =>
      found.lamps.story(lamp.id, circuit.id),
    ),
    ...found.lamps.voids,
  ];
  const deviations = inOrder(all.map((one) => endedWith(site, found, one)));
  const lamps = site.circuits.flatMap(({ id, luminaires }) =>
    luminaires.map((lamp) => found.lamps.story(lamp.id, id)),
  );
  const duties = dueDuties(dutiesOf(site), site, found.inspections, now);
  const findings = found.inspections.findings();
  const defects = defectsOf(found, period);
  const unproven = openDefects({ site, ...found.past, contacts }, now).filter(
    ({ state }) => state === 'not proven',
  );
  return { ...o, profile, found, book, deviations, defects, unproven, findings, duties, lamps };
}

export function isOverdue({ state }: DueDuty): boolean {
  return state === 'overdue';
}

type Standing = Pick<Report, 'deviations' | 'defects' | 'unproven' | 'findings' | 'duties'>;

/** Whether nothing is open: no deviation, no defect, nothing that is not proven, nothing that people found, no check that they owe. */
export function isClean({ deviations, defects, unproven, findings, duties }: Standing): boolean {
  if (deviations.some(isOpen) || findings.length + unproven.length > 0) return false;
  return !defects.some(isBroken) && !duties.some(isOverdue);
}

/** What ended only with the site file, and what nobody knows: neither is open, and neither was put right. */
function besidesWords({ deviations, defects }: Standing): string {
  const left = [
    ...deviations.filter((one) => one.isGone),
    ...defects.filter((one) => !one.closed && !isBroken(one)),
  ];
  const gone =
    left.length > 0 ? ` Ended only because the site file no longer has the part: ${left.length}.` : '';
  const unheard = deviations.filter((one) => one.isUnknown).length;
  if (unheard === 0) return gone;
  return `${gone} Whether the ${unheard === 1 ? 'controller of 1 circuit is' : `controllers of ${unheard} circuits are`} heard is not known here.`;
}

/** " Of the period, 1 defect is listed as closed."; '' if nothing is. */
function closedWords({ deviations, defects }: Standing): string {
  const mended = deviations.filter(({ closedAt }) => closedAt > 0).length;
  const repaired = defects.filter((one) => one.closed).length;
  if (mended + repaired === 0) return '';
  const parts = [
    ...(mended > 0 ? [counted(mended, 'deviation')] : []),
    ...(repaired > 0 ? [counted(repaired, 'defect')] : []),
  ];
  return ` Of the period, ${parts.join(' and ')} ${mended + repaired === 1 ? 'is' : 'are'} listed as closed.`;
}

/** The sentence on the first sheet. */
export function statusWords(report: Standing): string {
  const { deviations, defects, unproven, findings, duties } = report;
  const [open, broken] = [deviations.filter(isOpen).length, defects.filter(isBroken).length];
  const besides = `${closedWords(report)}${besidesWords(report)}`;
  if (isClean(report)) return `Nothing is open.${besides}`;
  const owed = duties.filter(isOverdue).length;
  const all = [
    counted(open, 'open deviation'),
    `${counted(broken, 'open defect')}${unprovenCounts(unproven)}`,
    ...(findings.length > 0 ? [`${counted(findings.length, 'open finding')} of people`] : []),
    ...(owed > 0 ? [`${counted(owed, 'human check')} overdue`] : []),
  ].join(', ');
  return `Not satisfactory: ${all}.${besides}`;
}
