// The year of a simulated estate, from what was noted during the run, for the picture.
import { TestKind } from '../../firmware/contract/codes';
import { readLine } from '../../firmware/contract/curve';
import type { CircuitStory } from '../../simulator/compare/measures';
import type { Off, TestNote } from '../../simulator/people/chronicle';
import type { Bar, CircuitYear, Discharge, EstateYear, Kind, LampCurve, TestMark } from '../picture/data';
import { profileFor } from '../profiles/profile';
import { localDate, utcOf } from '../site/civil';
import type { Site } from '../site/model';
import { startUtcMs } from './estate';

const DAY_MS = 86_400_000;
/** Days the picture shows, the last ones of the run. */
const YEAR_DAYS = 365;
/** Shortest unwanted loss of supply that is shown, ms. */
const OFF_MIN_MS = 3_600_000;

const KINDS: Partial<Record<TestKind, Kind>> = {
  [TestKind.Brief]: 'brief',
  [TestKind.Full]: 'full',
  [TestKind.Limited]: 'limited',
};

/** First simulated ms of the year drawn for a run of this many days. */
export function yearFromMs(days: number): number {
  return Math.max(0, days - YEAR_DAYS) * DAY_MS;
}

/** Simulated ms as days since 1970 in the building's civil time. */
function dayOf(site: Site, ms: number): number {
  const utc = Math.floor((startUtcMs(site) + ms) / 1000);
  const date = localDate(site.timeZone, utc);
  const sinceMidnight = utc - utcOf(site.timeZone, date, 0, 'start');
  // A day of 25 hours gets the same width as any other.
  return Date.parse(date) / DAY_MS + Math.min(0.999, sinceMidnight / 86400);
}

function outcomeOf({ failed, voided }: TestNote): TestMark['outcome'] {
  if (failed.length > 0) return 'failed';
  return voided.length > 0 ? 'void' : 'passed';
}

/** What a loss of supply means for the days around it. */
function barsOf(site: Site, off: Off, rechargeMs: number): Bar[] {
  const beyond = off.to - off.from - off.meantMs;
  const isLong = off.kind !== TestKind.Brief || beyond >= OFF_MIN_MS;
  const at = (ms: number) => dayOf(site, ms);
  return [
    ...(beyond >= OFF_MIN_MS
      ? [{ from: at(off.from + off.meantMs), to: at(off.to), kind: 'off' as const }]
      : []),
    ...(isLong ? [{ from: at(off.to), to: at(off.to + rechargeMs), kind: 'recharge' as const }] : []),
  ];
}

function curveOf(story: CircuitStory, test: TestNote, place: number): LampCurve {
  const { id, batteryMilliamps } = story.lamps[place];
  const line = readLine(test.curves?.[place] ?? '');
  const points = (line?.places ?? []).map((at, i): [number, number] => [
    (at * (test.gridSec as number)) / 60,
    ((line?.percents[i] as number) * batteryMilliamps) / 100,
  ]);
  return { name: id, hasFailed: test.failed.includes(place), points };
}

function dischargesOf(site: Site, story: CircuitStory, tests: TestNote[]): Discharge[] {
  return tests.flatMap((test) => {
    const kind = KINDS[test.kind];
    if (!kind || test.gridSec === undefined) return [];
    return {
      ...{ circuit: story.circuit, day: dayOf(site, test.at), kind },
      ratedMinutes: Math.max(...story.lamps.map(({ ratedSec }) => ratedSec)) / 60,
      lamps: story.lamps
        .map((_, place) => curveOf(story, test, place))
        .filter(({ points }) => points.length > 1),
    };
  });
}

/**
 * The last year of a run.
 * @param days length of the run
 */
export function yearOf(site: Site, name: string, stories: CircuitStory[], days: number): EstateYear {
  const fromMs = yearFromMs(days);
  const rechargeMs = profileFor(site).full.rechargeSec.value * 1000;
  const inYear = stories.map((story) => ({ story, tests: story.tests.filter(({ at }) => at >= fromMs) }));
  const circuits = inYear.map(
    ({ story, tests }): CircuitYear => ({
      name: story.circuit,
      tests: tests.flatMap((test) => {
        const kind = KINDS[test.kind];
        const failed = test.failed.map((place) => story.lamps[place].id);
        return kind ? [{ day: dayOf(site, test.at), kind, outcome: outcomeOf(test), failed }] : [];
      }),
      bars: story.offs.filter(({ to }) => to >= fromMs).flatMap((off) => barsOf(site, off, rechargeMs)),
    }),
  );
  return {
    name,
    from: Math.floor(dayOf(site, fromMs)),
    to: Math.floor(dayOf(site, days * DAY_MS - 1)) + 1,
    circuits,
    discharges: inYear.flatMap(({ story, tests }) => dischargesOf(site, story, tests)),
  };
}
