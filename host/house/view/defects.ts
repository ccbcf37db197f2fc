// Defects as people read them, on the page, by command and in reports: those of luminaires from the log book, and
// circuits that could not be tested for long.
import type { CareView, DefectCounts, DefectView } from '../../api/defects';
import type { ControllerStatus, LampStatus, UnprovenView } from '../../api/views';
import type { Plan } from '../../planner/plan/plan';
import { profileFor } from '../../profiles/profile';
import { civilDays, daysBetween, localDate } from '../../site/civil';
import type { Circuit, Luminaire, Site } from '../../site/model';
import { longKindOf } from '../../site/settings';
import { capital } from '../../words/capital';
import { type KindWord, kindName, reasonSentence, testKindWord } from '../../words/codes';
import { counted } from '../../words/counted';
import { lengthAtMost, lengthWord } from '../../words/length';
import { dayWord, momentWord } from '../../words/when';
import { type Defect, failedRepair, stateOf } from '../defects/defect';
import type { Defects } from '../defects/defects';
import type { CircuitStanding, History } from '../history/history';
import type { Care } from '../notes/care';
import type { Notes } from '../notes/entered';
import { fullDueAt } from './fullDue';
import { nextTest } from './nextTest';
import { stoppedAndOverdue } from './stopped';
import { unprovenOf } from './unproven';

const DAY_SEC = 86_400;
/** Days of silence or of a tester fault after which a circuit counts as not proven (our choice, no source). */
const UNTESTED_DAYS = 7;

/** What the defects are told from. */
export interface DefectSources {
  site: Site;
  defects: Defects;
  history: History;
  notes: Pick<Notes, 'of'>;
  /** The current plan, if it is known. */
  plan?: Plan | undefined;
  /** What controllers last reported, if that is known: without it nobody knows which are silent. */
  contacts?: readonly ReportedContact[];
}

type ReportedContact = Pick<ControllerStatus, 'circuit' | 'contact' | 'heardAt'>;

function careView({ owner, due, interim, words, who, at }: Care): CareView {
  return { owner, due, interim, words, who, at };
}

function overdueDays(site: Site, care: Care | null, now: number): number {
  const due = care?.due ?? '';
  return due === '' ? 0 : Math.max(0, daysBetween(due, localDate(site.timeZone, now)));
}

/** "Duration test of Tue 6 Jan 2026, 02:14: lit for 41 min of 3 h (log book entry 345)." */
function evidenceWords({ last }: Defect, { ratedSec }: Luminaire, zone: string): string {
  const name = kindName(last.kind);
  const lit =
    last.kind === 'brief'
      ? `lit for ${lengthAtMost(last.litSec)}`
      : `lit for ${lengthAtMost(last.litSec)} of ${lengthWord(ratedSec)} rated`;
  return `${capital(name)} of ${momentWord(last.at, zone)}: ${lit} ` + `(log book entry ${last.entry}).`;
}

/**
 * "Repaired on Fri 27 Mar 2026 (battery changed); the duration test of Sat 4 Apr 2026, 02:00 failed again: the repair
 * did not help."; '' if that is not so.
 */
export function failedRepairWords(defect: Defect, zone: string): string {
  const repair = failedRepair(defect);
  if (!repair) return '';
  const { kind, at } = defect.last;
  const what = repair.what === '' ? '' : ` (${repair.what})`;
  return (
    `Repaired on ${dayWord(repair.at, zone)}${what}; the ${kindName(kind)} of ${momentWord(at, zone)} failed again: ` +
    'the repair did not help.'
  );
}

/** A test since the repair that ended without a verdict on the luminaire, in words; '' if there is none. */
function voidWords({ repairs }: Defect, lamp: LampStatus | undefined, zone: string): string {
  const repair = repairs[repairs.length - 1];
  const attempt = lamp?.attempt;
  if (!repair || attempt?.verdict !== 'void' || attempt.at < repair.at) return '';
  return ` The ${kindName(attempt.kind)} of ${momentWord(attempt.at, zone)} ended without a verdict: ${attempt.reason}`;
}

/**
 * "only a pass in a duration test closes it": by the repair, which may owe a longer test than the one that has failed
 * (`changesFeed`).
 */
function closingWords({ needs }: Defect, circuit: Circuit): string {
  const name = kindName(needs);
  if (needs !== 'brief') return `only a pass in a ${name} closes it.`;
  const long = kindName(testKindWord(longKindOf(circuit)));
  return `only a pass closes it: in a ${long} if battery, lamp, driver, charger or the whole luminaire was changed, else in a ${name}.`;
}

/** What to do next. */
function nextWords(defect: Defect, { circuit, lamp }: Whereabouts, retestAt: number, zone: string): string {
  const state = stateOf(defect);
  if (state === 'closed') return '';
  const name = kindName(defect.needs);
  const closing = closingWords(defect, circuit);
  if (state === 'open' && failedRepair(defect))
    return `Find out why the repair did not help; repair it again, then report that; ${closing}`;
  if (state === 'open') return `Repair it, then report the repair; ${closing}`;
  const when = retestAt > 0 ? `planned for ${momentWord(retestAt, zone)}` : 'not planned yet';
  return `Repaired.${voidWords(defect, lamp, zone)} Retest, a ${name}: ${when}.`;
}

interface Whereabouts {
  circuit: Circuit;
  luminaire: Luminaire;
  lamp: LampStatus | undefined;
}

function lampDefect(from: DefectSources, at: Whereabouts, defect: Defect, now: number): DefectView {
  const { site, plan } = from;
  const { circuit, luminaire, lamp } = at;
  const { care, closed, needs, opened } = defect;
  const state = stateOf(defect);
  const retestAt =
    state === 'repaired' ? nextTest(plan, circuit.id, from.history.of(circuit.id).last, needs, now) : 0;
  return {
    ...{ circuit: circuit.id, luminaire: luminaire.id, place: luminaire.place, state },
    cause: [
      reasonSentence(defect.last.reason) || 'It failed for a reason that was not recorded.',
      failedRepairWords(defect, site.timeZone),
    ]
      .join(' ')
      .trimEnd(),
    evidence: evidenceWords(defect, luminaire, site.timeZone),
    since: opened.at,
    days: civilDays(site.timeZone, opened.at, closed?.at ?? now),
    ...{ entry: opened.entry, fails: defect.fails, reopened: defect.reopened },
    care: care && careView(care),
    overdueDays: closed ? 0 : overdueDays(site, care, now),
    repairs: defect.repairs.map(({ entry, at, who, what }) => ({ entry, at, who, what })),
    ...{ needs, retestAt, retestNow: null, next: nextWords(defect, at, retestAt, site.timeZone) },
    ...{ attempt: lamp?.attempt ?? null, proven: lamp?.proven ?? null },
    closed: closed && { entry: closed.entry, at: closed.at, kind: closed.kind },
  };
}

/** What was entered about an earlier time without proof says nothing about this one. */
function careSince(entered: Care | undefined, since: number): Care | null {
  return entered && entered.at >= since ? entered : null;
}

type NotProven = Pick<DefectView, 'circuit' | 'luminaire' | 'place' | 'cause' | 'since' | 'next'> &
  Partial<Pick<DefectView, 'attempt' | 'proven' | 'retestAt'>>;

function notProven(site: Site, one: NotProven, entered: Care | undefined, now: number): DefectView {
  const care = careSince(entered, one.since);
  // One by one: of a large site nobody has tested for long there are very many, and a copy with more is slow.
  const { circuit, luminaire, place, cause, since, next, attempt = null, proven = null, retestAt = 0 } = one;
  return {
    ...{ circuit, luminaire, place, state: 'not proven', cause, evidence: '', since },
    days: since > 0 ? civilDays(site.timeZone, since, now) : 0,
    ...{ entry: 0, fails: 0, reopened: 0, care: care && careView(care) },
    ...{ overdueDays: overdueDays(site, care, now), repairs: [] },
    ...{ needs: '', retestAt, retestNow: null, next, attempt, proven, closed: null },
  };
}

/** Why nothing of a circuit can be proven, and since when (UTC second, 0 if that is not known). */
interface Untested {
  since: number;
  cause: string;
  next: string;
}

const FIND_CONTROLLER = 'Check the controller’s supply and its network, then let it test again.';

function silence(
  contact: ReportedContact | undefined,
  recordAt: number,
  { timeZone }: Site,
  now: number,
): Untested[] {
  if (contact?.contact === 'never heard' && recordAt > 0) {
    const cause =
      'Its controller has not been heard since this host started; its last record is of ' +
      `${dayWord(recordAt, timeZone)}.`;
    return [{ since: recordAt, cause, next: FIND_CONTROLLER }];
  }
  if (contact?.contact === 'never heard')
    return [{ since: 0, cause: 'Its controller has never been heard from.', next: FIND_CONTROLLER }];
  const isLong = contact?.contact === 'silent' && now - contact.heardAt >= UNTESTED_DAYS * DAY_SEC;
  return isLong
    ? [{ since: contact.heardAt, cause: 'Its controller is silent.', next: FIND_CONTROLLER }]
    : [];
}

const WAITS = 'Its page says what it waits for; or start the test while someone works there.';

/** Overdue tests, each kind once: by the controller's records, and the duration test by the rule profile too. */
function overdueTests(
  { overdueAt, fullAt }: Pick<CircuitStanding, 'overdueAt' | 'fullAt'>,
  fullDue: number,
  now: number,
): Untested[] {
  const { full = 0, ...others } = overdueAt;
  const isDue = fullDue > 0 && now > fullDue;
  const found: Untested[] = Object.entries(others).map(([kind, since]) => ({
    ...{ since, cause: kind === '' ? 'A test is overdue.' : `Its ${kindName(kind as KindWord)} is overdue.` },
    next: WAITS,
  }));
  if (full === 0 && !isDue) return found;
  const cause = fullAt === 0 ? 'It has never had a duration test.' : 'Its duration test is overdue.';
  const times = [full, isDue ? fullDue : 0].filter((time) => time > 0);
  return [...found, { since: Math.min(...times), cause, next: WAITS }];
}

function untested(
  standing: Pick<CircuitStanding, 'troubleAt' | 'overdueAt' | 'fullAt'>,
  fullDue: number,
  now: number,
): Untested[] {
  const { troubleAt } = standing;
  const found: Untested[] = [];
  if (troubleAt.fault > 0 && now - troubleAt.fault >= UNTESTED_DAYS * DAY_SEC)
    found.push({
      ...{ since: troubleAt.fault, cause: 'Tester fault: it makes no tests.' },
      next: 'Have the tester repaired, then clear the fault.',
    });
  return [...found, ...overdueTests(standing, fullDue, now)];
}

function causeOf({ luminaire, since, detail }: UnprovenView, zone: string): string {
  const when = since > 0 ? ` since ${dayWord(since, zone)}` : '';
  return luminaire === '' ? `No luminaire proven${when}. ${detail}` : `Not proven${when}. ${detail}`;
}

/** A circuit that cannot be tested is one entry; otherwise each luminaire that no test proved. */
function unprovenParts(
  from: DefectSources,
  circuit: Circuit,
  contact: ReportedContact | undefined,
  now: number,
): DefectView[] {
  const { site, defects, history, notes } = from;
  const standing = history.of(circuit.id);
  const fullDue = fullDueAt(circuit, standing, notes.of(circuit.id), profileFor(site));
  const { overdueAt } = stoppedAndOverdue(standing, circuit.id, from.plan, now);
  const found = [
    ...silence(contact, standing.recordAt, site, now),
    ...untested({ ...standing, overdueAt }, fullDue, now),
  ];
  const parts = unprovenOf(from, circuit, now);
  const whole = parts.find(({ luminaire }) => luminaire === '');
  if (whole && found.length === 0)
    found.push({ since: whole.since, cause: causeOf(whole, site.timeZone), next: whole.next });
  const ofLamps = parts
    .filter(({ luminaire }) => luminaire !== '')
    .map((part) => {
      const { luminaire, since, next, nextAt } = part;
      const i = circuit.luminaires.findIndex(({ id }) => id === luminaire);
      const { attempt, proven } = standing.lamps[i];
      const { place } = circuit.luminaires[i];
      const cause = causeOf(part, site.timeZone);
      const one = { circuit: circuit.id, luminaire, place, cause, since, next };
      const tested = { ...one, attempt, proven, retestAt: nextAt };
      return notProven(site, tested, defects.careOfLamp(luminaire), now);
    });
  if (found.length === 0) return ofLamps;
  const since = Math.min(...found.map((one) => one.since));
  const cause = `Not proven. ${found.map((one) => one.cause).join(' ')}`;
  const one = { circuit: circuit.id, luminaire: '', place: circuit.name, cause, since, next: found[0].next };
  return [notProven(site, one, defects.careOf(circuit.id), now), ...ofLamps];
}

function placed(from: DefectSources, list: readonly Defect[], now: number): DefectView[] {
  const wanted = new Set(list.map(({ luminaire }) => luminaire));
  const places = new Map<string, Whereabouts>();
  for (const circuit of from.site.circuits)
    circuit.luminaires.forEach((luminaire, i) => {
      if (wanted.has(luminaire.id))
        places.set(luminaire.id, { circuit, luminaire, lamp: from.history.of(circuit.id).lamps[i] });
    });
  return list.map((defect) => lampDefect(from, places.get(defect.luminaire)!, defect, now));
}

/** Those of one circuit that are not closed, in no order; see `openDefects`. */
export function openDefectsOf(from: DefectSources, circuit: Circuit, now: number): DefectView[] {
  const { lamps } = from.history.of(circuit.id);
  const found = circuit.luminaires.flatMap((luminaire, i) =>
    from.defects
      .openOf(luminaire.id)
      .map((defect) => lampDefect(from, { circuit, luminaire, lamp: lamps[i] }, defect, now)),
  );
  const contact = from.contacts?.find((one) => one.circuit === circuit.id);
  return [...found, ...unprovenParts(from, circuit, contact, now)];
}

/** Counts defects that are not closed. */
export function countDefects(open: readonly DefectView[]): DefectCounts {
  const number = (is: (one: DefectView) => boolean) => open.filter(is).length;
  const unproven = number(({ state }) => state === 'not proven');
  const circuits = number(({ state, luminaire }) => state === 'not proven' && luminaire === '');
  return {
    ...{ failed: open.length - unproven, luminaires: unproven - circuits, circuits },
    overdue: number(({ overdueDays }) => overdueDays > 0),
    toRetest: number(({ state }) => state === 'repaired'),
    ownerless: number(({ care }) => (care?.owner ?? '') === ''),
  };
}

/** ", 1 luminaire and 12 circuits not proven", as it follows the number of open defects; '' if there are none. */
export function unprovenCounts(open: readonly DefectView[]): string {
  const { luminaires, circuits } = countDefects(open);
  if (luminaires + circuits === 0) return '';
  const parts = [
    ...(luminaires > 0 ? [counted(luminaires, 'luminaire')] : []),
    ...(circuits > 0 ? [counted(circuits, 'circuit')] : []),
  ];
  return `, ${parts.join(' and ')} not proven`;
}

/** "4 open defects, 1 luminaire and 12 circuits not proven": these are never added up into one number. */
export function defectCounts(open: readonly DefectView[]): string {
  const { failed } = countDefects(open);
  return `${failed === 0 ? 'No open defect' : counted(failed, 'open defect')}${unprovenCounts(open)}`;
}

/**
 * Every defect that is not closed: of luminaires, open ones before repaired ones; and what no test has proven for long,
 * circuits before luminaires; each the oldest first, and last those of which nobody knows since when. Pure: a house,
 * or the past read from a log book, is all it needs.
 * @param now UTC second, for ages and due dates
 */
export function openDefects(from: DefectSources, now: number): DefectView[] {
  const lamps = placed(from, from.defects.open(), now);
  const contacts = new Map((from.contacts ?? []).map((one) => [one.circuit, one]));
  const unproven = from.site.circuits.flatMap((circuit) =>
    unprovenParts(from, circuit, contacts.get(circuit.id), now),
  );
  return [...lamps, ...unproven].sort(inOrder);
}

/**
 * What has failed before what is only not proven: of a site that has not been tested for long that is very much, and a page
 * shows the first of all. Then as in `openDefects`.
 */
export function inOrder(a: DefectView, b: DefectView): number {
  const rank = ({ state, luminaire }: DefectView) => {
    if (state === 'not proven') return luminaire === '' ? 2 : 3;
    return state === 'repaired' ? 1 : 0;
  };
  // Two of unknown age differ by NaN, and so by their names.
  const age = ({ since }: DefectView) => since || Number.POSITIVE_INFINITY;
  return rank(a) - rank(b) || age(a) - age(b) || a.luminaire.localeCompare(b.luminaire);
}

/**
 * Closed defects that are still kept, the newest first; older ones are in the log book. See `openDefects`.
 * @param page only so many after the newest `skip`: a large site may have many thousands
 */
export function closedDefects(
  from: DefectSources,
  now: number,
  { skip, limit }: { skip: number; limit: number } = { skip: 0, limit: Number.POSITIVE_INFINITY },
): DefectView[] {
  return placed(from, from.defects.closed().slice(skip, skip + limit), now);
}
