// Luminaires that have not failed, but that no test has proven for longer than the rule profile allows, or of late:
// not proven is not failed, and not in order either.
import type { LampStatus, UnprovenView } from '../../api/views';
import type { Plan } from '../../planner/plan/plan';
import { profileFor, type RuleProfile } from '../../profiles/profile';
import { nightsBetween } from '../../site/civil';
import type { Circuit, Site } from '../../site/model';
import { longKindOf } from '../../site/settings';
import { type KindWord, kindName, kindWord } from '../../words/codes';
import { dayWord, momentWord } from '../../words/when';
import type { History } from '../history/history';
import type { Notes } from '../notes/entered';
import { isOwedSince } from '../notes/repairs';
import { acceptsLimited } from './fullDue';
import { nextTest } from './nextTest';

const DAY_SEC = 86_400;
/** Tests running without a verdict after which a luminaire counts as not proven: one is chance (our choice, no source). */
const VOIDS = 2;

export interface UnprovenSources {
  site: Site;
  history: Pick<History, 'of'>;
  notes: Pick<Notes, 'of'>;
  /** The current plan, if it is known. */
  plan?: Plan | undefined;
}

/** Why a luminaire that passed is not proven all the same, and what ends that. */
const EXPECTED = 'Nobody has measured the currents it is judged by: they are expected ones.';
const ACCEPT = 'Look at it lit in a complete test, then accept on its page what was measured.';

/** What is missing: a verdict of any test, or of one that shows the duration. */
interface Gap {
  needs: 'brief' | 'full';
  /** UTC second of the newest test that proved it, 0 if none did. */
  since: number;
  /** Tests since then that ended without a verdict. */
  voids: number;
}

/** More than a night and all that clocks are ever changed by: then seconds alone tell which interval is longer. */
const SURELY_DAYS = 3;

/** Whether an interval is longer than so many nights, as intervals between tests are counted. */
function isLonger(zone: string, days: number, from: number, now: number): boolean {
  if (from === 0 || now - from <= (days - 1) * DAY_SEC) return false;
  return now - from > (days + SURELY_DAYS) * DAY_SEC || nightsBetween(zone, from, now) > days;
}

type Asked = Pick<UnprovenSources, 'site'> & { circuit: Circuit; profile: RuleProfile; now: number };

function gapOf({ site, circuit, profile, now }: Asked, lamp: LampStatus): Gap | undefined {
  const { judgedAt, attempt, voids, fullAt, failedSince } = lamp;
  if (failedSince > 0) return undefined;
  const { brief, full } = profile;
  const zone = site.timeZone;
  const all = Object.values(voids).reduce((sum, n) => sum + n, 0);
  const isOpen = all >= VOIDS && (voids.brief !== undefined || judgedAt === 0);
  if (isOpen || isLonger(zone, brief.latestDays.value, judgedAt, now))
    return { needs: 'brief', since: judgedAt, voids: attempt && attempt.at > judgedAt ? all : 0 };
  // A limited test is no duration test, but where it stands for one nobody waits for that.
  const isOld = !acceptsLimited(circuit, profile) && isLonger(zone, full.latestDays.value, fullAt, now);
  return isOld || all >= VOIDS ? { needs: 'full', since: fullAt, voids: all } : undefined;
}

function detailOf({ voids, needs }: Gap, { attempt }: LampStatus, zone: string): string {
  const name = needs === 'full' ? 'duration test' : 'test';
  if (voids === 0 || !attempt) return `No ${name} since then had a verdict.`;
  const ended = `${needs === 'full' ? 'Duration tests' : 'Tests'} without a verdict: ${voids}`;
  if (attempt.verdict === 'pass') return `${ended}.`;
  return `${ended}, the last on ${dayWord(attempt.at, zone)}: ${attempt.reason}`.trimEnd();
}

function nextOf(needs: KindWord, at: number, zone: string): string {
  const when = at > 0 ? `planned for ${momentWord(at, zone)}` : 'not planned yet';
  return `Next try, a ${kindName(needs)}: ${when}.`;
}

/**
 * The kind of test still missing since measured currents were accepted for expected ones; '' if it was made. What
 * counts are tests judged by settings made afterwards: a controller may test by old ones for as long as it is offline.
 */
function missingSince({ history, notes }: UnprovenSources, circuit: Circuit, index: number): KindWord {
  const accepted = notes.of(circuit.id).accepted.get(circuit.luminaires[index].id);
  const kind = longKindOf(circuit);
  if (!accepted || accepted.expectedUntil === 0) return '';
  const judgedBy = history.of(circuit.id).judgedBy[index];
  return isOwedSince(accepted.expectedUntil, kind, judgedBy) ? kindWord(kind) : '';
}

/** Those of a circuit that are alike become one, if they are all it has. */
function together(circuit: Circuit, lamps: UnprovenView[]): UnprovenView[] {
  const [first] = lamps;
  const isAlike = lamps.every(({ since, detail }) => since === first.since && detail === first.detail);
  if (lamps.length < 2 || lamps.length < circuit.luminaires.length || !isAlike) return lamps;
  return [{ ...first, luminaire: '' }];
}

/**
 * Luminaires of a circuit that are not proven; one entry for the circuit if that holds for all alike.
 * @param now UTC second
 */
export function unprovenOf(from: UnprovenSources, circuit: Circuit, now: number): UnprovenView[] {
  const { site, history, notes, plan } = from;
  const { lamps, last } = history.of(circuit.id);
  const judgedBy = notes.of(circuit.id).inForce.luminaires;
  const asked = { site, circuit, profile: profileFor(site), now };
  const tests = new Map<KindWord, number>();
  const nextAt = (needs: KindWord): number => {
    const at = tests.get(needs) ?? nextTest(plan, circuit.id, last, needs, now);
    tests.set(needs, at);
    return at;
  };
  const found = lamps.flatMap((lamp, i): UnprovenView[] => {
    const gap = gapOf(asked, lamp);
    const { luminaire } = lamp;
    if (gap) {
      const at = nextAt(gap.needs);
      const look = gap.voids > 0 ? 'Its page says where to look first. ' : '';
      const next = `${look}${nextOf(gap.needs, at, site.timeZone)}`;
      return [{ luminaire, since: gap.since, detail: detailOf(gap, lamp, site.timeZone), next, nextAt: at }];
    }
    if (lamp.failedSince > 0) return [];
    if (judgedBy[i].isExpected)
      return [{ luminaire, since: 0, detail: EXPECTED, next: ACCEPT, nextAt: nextAt('brief') }];
    const needs = missingSince(from, circuit, i);
    if (needs === '') return [];
    const at = nextAt(needs);
    const detail = `No ${kindName(needs)} has judged it by its measured currents yet.`;
    return [{ luminaire, since: 0, detail, next: nextOf(needs, at, site.timeZone), nextAt: at }];
  });
  return together(circuit, found);
}
