// What results say of each luminaire: how often it was tested in the period and when, and which tests that ended
// without a verdict were never made up for. It keeps little per luminaire, so that a large building fits.
import { Reason, TestKind, Verdict } from '../../firmware/contract/codes';
import type { ResultRecord } from '../../firmware/contract/messages';
import { SHOWS } from '../house/history/lamps';
import { type LampResult, lampResults } from '../records/result';
import { kindWord, reasonSentence, testName } from '../words/codes';
import type { Deviation } from './findings';
import { isWithin, type Period } from './period';

/** When a luminaire was tested with a verdict, UTC seconds. */
export interface Times {
  /** The last before the period, 0 if none; the first after it, 0 if none. */
  before: number;
  within: number[];
  after: number;
  /** The newest of all, 0 if none. */
  last: number;
}

export interface LampStory {
  /** Today's id; if the site file no longer has it, the id it had. */
  id: string;
  /** Circuit in which it was tested last, else that of the site file. */
  circuit: string;
  /** UTC second at which a list of luminaires first named it, 0 never. */
  listedAt: number;
  /** Its results in the period. */
  counts: Record<'pass' | 'fail' | 'void', number>;
  /** Tests of any kind; and duration tests, which prove more. */
  any: Times;
  full: Times;
  limited: Times;
  /** Newest result with a verdict of each length up to the end of the period. */
  newest: { brief?: Seen; long?: Seen };
  /** Void tests not made up for yet. */
  owed: Owed[];
}

interface Owed {
  deviation: Deviation;
  type: TestKind;
  /** UTC second of the newest of these void tests. */
  at: number;
  /** Luminaires it still waits for. */
  pending: Set<string>;
  /** Void tests of the same luminaires since. */
  again: number;
}

export interface Seen {
  at: number;
  type: TestKind;
  isPass: boolean;
}

const newTimes = (): Times => ({ before: 0, within: [], after: 0, last: 0 });

function newStory(id: string, circuit: string): LampStory {
  return {
    ...{ id, circuit, listedAt: 0, counts: { pass: 0, fail: 0, void: 0 }, newest: {}, owed: [] },
    ...{ any: newTimes(), full: newTimes(), limited: newTimes() },
  };
}

function addTime(times: Times, at: number, period: Period): void {
  times.last = Math.max(times.last, at);
  if (at < period.fromSec) times.before = Math.max(times.before, at);
  else if (isWithin(period, at)) times.within.push(at);
  else if (times.after === 0 || at < times.after) times.after = at;
}

export interface ResultSeen {
  record: ResultRecord;
  circuit: string;
  entry: number;
  /** UTC second. */
  at: number;
  /** Ids of its rows as listed, in sensor order; undefined if the log book does not say. */
  list: readonly string[] | undefined;
}

/** What a row counts as: whatever is neither passed nor failed proves nothing. */
export function lampWord(verdict: Verdict): 'pass' | 'fail' | 'void' {
  if (verdict === Verdict.Pass) return 'pass';
  return verdict === Verdict.Fail ? 'fail' : 'void';
}

const AGAIN = / Void again since: \d+\.$/;

const isLong = (type: TestKind): boolean => type !== TestKind.Brief && type !== TestKind.None;

/** UTC second of a test that showed as much after a void one that arrives late, 0 if there was none. */
function madeUpAt({ newest }: LampStory, type: TestKind, at: number): number {
  const later = [newest.brief, newest.long].find(
    (one) => one && one.at > at && SHOWS[kindWord(one.type)] >= SHOWS[kindWord(type)],
  );
  return later?.at ?? 0;
}

export class Lamps {
  /** Void tests of the period. */
  readonly voids: Deviation[] = [];
  private readonly stories = new Map<string, LampStory>();

  /** @param here today's id for any id a luminaire ever had; undefined for one the site file no longer has */
  constructor(
    private readonly period: Period,
    private readonly here: (id: string) => string | undefined,
  ) {}

  /** A luminaire by any of its ids. */
  story(id: string, circuit: string): LampStory {
    const name = this.here(id) ?? id;
    let story = this.stories.get(name);
    if (!story) {
      story = newStory(name, circuit);
      this.stories.set(name, story);
    }
    return story;
  }

  all(): IterableIterator<LampStory> {
    return this.stories.values();
  }

  listed(ids: readonly string[], circuit: string, at: number): void {
    for (const id of ids) {
      const story = this.story(id, circuit);
      story.listedAt ||= at;
    }
  }

  result(seen: ResultSeen): void {
    const { record, list, circuit } = seen;
    const voids: string[] = [];
    lampResults(record).forEach((row, i) => {
      const id = list?.[i];
      if (id === undefined) return;
      const story = this.story(id, circuit);
      story.circuit = circuit;
      this.row(story, seen, row);
      if (lampWord(row.verdict) === 'void') voids.push(story.id);
    });
    if (voids.length > 0 && isWithin(this.period, seen.at)) this.void(seen, voids);
  }

  private row(story: LampStory, seen: ResultSeen, row: LampResult): void {
    const { at } = seen;
    const word = lampWord(row.verdict);
    if (isWithin(this.period, at)) story.counts[word]++;
    if (word !== 'void') this.proof(story, seen, word === 'pass');
  }

  private proof(story: LampStory, { record, at }: ResultSeen, isPass: boolean): void {
    const { type } = record;
    addTime(story.any, at, this.period);
    if (type === TestKind.Full) addTime(story.full, at, this.period);
    if (type === TestKind.Limited) addTime(story.limited, at, this.period);
    const length = isLong(type) ? 'long' : 'brief';
    // Records that were lost on the way arrive later, and say nothing about what was tested since.
    if (at < this.period.toSec && at >= (story.newest[length]?.at ?? 0))
      story.newest[length] = { at, type, isPass };
    story.owed = story.owed.filter(({ deviation, type: owed, at: since, pending }) => {
      if (at < since || SHOWS[kindWord(type)] < SHOWS[kindWord(owed)]) return true;
      pending.delete(story.id);
      if (pending.size === 0) deviation.closedAt = at;
      return false;
    });
  }

  private void({ record, at, entry, circuit }: ResultSeen, luminaires: string[]): void {
    const { type } = record;
    if (this.voidAgain(luminaires, circuit, type, at)) return;
    const first = lampResults(record).find(({ verdict }) => lampWord(verdict) === 'void');
    const why = reasonSentence(record.end === Reason.Complete ? (first?.reason ?? Reason.None) : record.end);
    const deviation: Deviation = {
      ...{ what: 'test void', circuit, luminaires, at, entry, closedAt: 0 },
      text: `The ${testName(type)} ended without a verdict. ${why}`.trimEnd(),
    };
    this.voids.push(deviation);
    // One that was taken away cannot make up for it.
    const here = luminaires.filter((id) => this.here(id) !== undefined);
    const since = here.map((id) => madeUpAt(this.story(id, circuit), type, at));
    const pending = new Set(here.filter((_, i) => since[i] === 0));
    if (here.length > 0 && pending.size === 0) deviation.closedAt = Math.max(...since);
    const owed = { deviation, type, at, pending, again: 0 };
    for (const id of luminaires)
      if (!here.includes(id) || pending.has(id)) this.story(id, circuit).owed.push(owed);
  }

  /** One more void test of luminaires that have been owed one of that kind since: the same deviation lasts. */
  private voidAgain(luminaires: string[], circuit: string, type: TestKind, at: number): boolean {
    const names = luminaires.join(' ');
    const known = this.story(luminaires[0], circuit).owed.find(
      ({ deviation, type: before, pending }) =>
        before === type && pending.size === luminaires.length && deviation.luminaires.join(' ') === names,
    );
    if (!known) return false;
    known.again++;
    known.at = Math.max(known.at, at);
    const { deviation } = known;
    deviation.text = `${deviation.text.replace(AGAIN, '')} Void again since: ${known.again}.`;
    return true;
  }
}
