// Tests that came later than the rule allows, or have not come. Intervals are counted from test to test, whatever the
// plan or the controller said about them.
import { TestKind } from '../../firmware/contract/codes';
import { acceptsLimited } from '../house/view/fullDue';
import type { RuleProfile } from '../profiles/profile';
import { nightsBetween } from '../site/civil';
import type { Circuit, Luminaire, Site } from '../site/model';
import { kindWord, testName } from '../words/codes';
import { dayWord } from '../words/when';
import type { Deviation } from './findings';
import type { LampStory, Times } from './lamps';
import type { Period } from './period';

const DAY_SEC = 86_400;

export interface LateOptions {
  site: Site;
  profile: RuleProfile;
  period: Period;
  /** UTC second up to which it is known what was tested. */
  now: number;
  /** UTC second of the first entry of the log book, 0 if it is empty. */
  begins: number;
}

interface Stretch {
  /** UTC seconds: the test before, '' none; when the next was due; when it came, 0 not yet. */
  last: number;
  due: number;
  came: number;
}

/** Where the interval between tests was longer than `days`, as far as the period is concerned. */
function stretches(o: LateOptions, times: Times, since: number, days: number): Stretch[] {
  const { period, now } = o;
  const zone = o.site.timeZone;
  const moments = [...times.within, ...(times.after > 0 ? [times.after] : [])].sort((a, b) => a - b);
  const late: Stretch[] = [];
  let [last, from] = [times.before, times.before || since];
  for (const came of [...moments, 0]) {
    const until = came || now;
    const due = from + days * DAY_SEC;
    const isLate = nightsBetween(zone, from, until) > days;
    if (isLate && due < period.toSec) late.push({ last, due, came });
    [last, from] = [came, came];
  }
  return late;
}

interface Rule {
  kind: TestKind;
  days: number;
  /** Where no test is on record, when counting begins is unknown for a duration test: the battery may be older. */
  times(story: LampStory): Times;
}

function merged(...all: Times[]): Times {
  const afters = all.map(({ after }) => after).filter((after) => after > 0);
  return {
    before: Math.max(...all.map(({ before }) => before)),
    within: all.flatMap(({ within }) => within),
    after: afters.length > 0 ? Math.min(...afters) : 0,
    last: Math.max(...all.map(({ last }) => last)),
  };
}

/** A limited test stands for a duration test only where people are always there and the rule accepts it. */
function rulesOf(circuit: Circuit, profile: RuleProfile): Rule[] {
  const isLimited = acceptsLimited(circuit, profile);
  return [
    { kind: TestKind.Brief, days: profile.brief.latestDays.value, times: (story) => story.any },
    {
      kind: isLimited ? TestKind.Limited : TestKind.Full,
      days: profile.full.latestDays.value,
      times: (story) => (isLimited ? merged(story.full, story.limited) : story.full),
    },
  ];
}

function sentence(o: LateOptions, { kind, days }: Rule, { last, due, came }: Stretch): string {
  const day = (at: number): string => dayWord(at, o.site.timeZone);
  const name = testName(kind);
  const before = last > 0 ? `the one before was on ${day(last)}` : 'none is on record before';
  const how = came > 0 ? `came on ${day(came)}` : 'has not been made';
  return `The ${name} due by ${day(due)} ${how}; ${before}, and the rule allows ${days} days.`;
}

/** UTC second of the day on which the battery was fitted. */
const fittedAt = ({ batteryFitted }: Luminaire): number => Date.parse(`${batteryFitted}T12:00Z`) / 1000;

/** UTC second from which the log book knows of a luminaire. */
function knownAt({ begins, period }: LateOptions, { listedAt }: LampStory): number {
  return listedAt || begins || period.fromSec;
}

/** The latest moment for a test by the rule, counted from the newest one. */
export interface NextTest {
  kind: ReturnType<typeof kindWord>;
  /** UTC seconds; `last` is 0 where none is on record. */
  last: number;
  due: number;
  isLate: boolean;
}

/** What a luminaire needs next, however long after the period. */
export function nextTests(o: LateOptions, circuit: Circuit, lamp: Luminaire, story: LampStory): NextTest[] {
  const zone = o.site.timeZone;
  return rulesOf(circuit, o.profile).map(({ kind, days, times }) => {
    const { last } = times(story);
    const from = last || Math.max(knownAt(o, story), fittedAt(lamp));
    const isLate = nightsBetween(zone, from, o.now) > days;
    return { kind: kindWord(kind), last, due: from + days * DAY_SEC, isLate };
  });
}

/** Late tests of a luminaire by one rule. */
function lateOf(o: LateOptions, lamp: Luminaire, story: LampStory, { days, times }: Rule): Stretch[] {
  const { period, site } = o;
  const fitted = fittedAt(lamp);
  const known = knownAt(o, story);
  if (fitted <= known || fitted >= period.toSec) return stretches(o, times(story), known, days);
  // A battery fitted later cannot have been tested before; but it makes up for no test that was missed by then.
  const isMissed = nightsBetween(site.timeZone, known, fitted) > days;
  const missed = isMissed ? stretches(o, times(story), known, days).filter(({ last }) => last === 0) : [];
  return [...missed, ...stretches(o, times(story), fitted, days)];
}

/**
 * Late and missing tests of the luminaires in the site file, alike ones of a circuit together.
 * @param storyOf undefined where the log book says nothing of a luminaire
 */
export function lateTests(
  o: LateOptions,
  storyOf: (lamp: Luminaire, circuit: Circuit) => LampStory,
): Deviation[] {
  const found: Deviation[] = [];
  for (const circuit of o.site.circuits)
    for (const rule of rulesOf(circuit, o.profile)) {
      const alike = new Map<string, Deviation>();
      for (const lamp of circuit.luminaires) {
        const story = storyOf(lamp, circuit);
        for (const late of lateOf(o, lamp, story, rule)) {
          const text = sentence(o, rule, late);
          const known = alike.get(text);
          if (known) known.luminaires.push(lamp.id);
          else
            alike.set(text, {
              ...{ what: 'test late', circuit: circuit.id, luminaires: [lamp.id] },
              ...{ at: late.due, closedAt: late.came, entry: 0, text },
            });
        }
      }
      found.push(...alike.values());
    }
  return found;
}
