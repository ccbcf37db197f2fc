// Luminaires that have not failed and that no test has proven: named wherever somebody looks for what to do.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Reason, TestKind } from '../../../../firmware/contract/codes';
import type { ResultRecord } from '../../../../firmware/contract/messages';
import { createDefects } from '../../../../host/house/defects/defects';
import { withBaselines } from '../../../../host/house/notes/baseline';
import { countDefects, defectCounts, openDefects } from '../../../../host/house/view/defects';
import { unprovenOf } from '../../../../host/house/view/unproven';
import { defectsTitle } from '../../../../host/page/words/defects';
import { hostWords } from '../../../../host/page/words/hostWords';
import { noticePlaces } from '../../../../host/page/words/notice';
import { concerns } from '../../../../host/page/words/urgency';
import { readRecord } from '../../../../host/records/schema';
import { nightsBetween } from '../../../../host/site/civil';
import type { Site } from '../../../../host/site/model';
import { speak } from '../../../support/tongues';
import { KEYS, newJournal, resultFields } from '../../logbook/records';
import { inFileOrder, newBench } from '../bench';
import { HOUSE } from '../site';

const DAY = 86_400;
/** Sun 22 Mar 2026, 02:00 in Berlin. */
const FIRST = Date.UTC(2026, 2, 22, 1) / 1000;
const PASS = [1, 0, 3600, 300, 300, 290, 2];
const FAIL = [2, Reason.NotLitAtFiveSeconds, 0, 0, 0, 0, 2];
const SILENT = [3, Reason.SensorSilent, 90, 0, 0, 0, 0];

function newHouse() {
  const bench = newBench();
  const defects = createDefects(HOUSE, KEYS, inFileOrder(HOUSE));
  const journal = newJournal('demo/a');
  const test = (type: TestKind, at: number, ...lamps: number[][]) =>
    bench.record(
      'a',
      readRecord(journal.next('result', resultFields(lamps, { type, started: at }))) as ResultRecord,
      at,
    );
  const unproven = (now: number) => bench.controller('a', now).unproven;
  const open = (now: number) =>
    openDefects({ site: HOUSE, defects, history: bench.history, notes: bench.notes }, now);
  return { ...bench, test, unproven, open };
}

describe('a luminaire with currents that nobody has measured', () => {
  const expected = (...ids: string[]): Site => ({
    ...HOUSE,
    circuits: HOUSE.circuits.map((circuit) => ({
      ...circuit,
      luminaires: circuit.luminaires.map((lamp) =>
        ids.includes(lamp.id) ? { ...lamp, isExpected: true } : lamp,
      ),
    })),
  });

  it('is not proven by any test until they are accepted, and a whole circuit of them is one', () => {
    const now = FIRST + DAY;
    const of = (site: Site) => newBench({}, { site }).controller('a', now).unproven;
    expect(of(HOUSE)).toEqual([]);
    const detail = 'Nobody has measured the currents it is judged by: they are expected ones.';
    expect(of(expected('A-02'))).toMatchObject([{ luminaire: 'A-02', since: 0, detail }]);
    expect(of(expected('A-01', 'A-02'))).toMatchObject([{ luminaire: '', detail }]);

    const site = expected('A-01', 'A-02');
    const accepted = new Map([
      ['A-02', { battery: 290, mains: 0, who: 'Zoë', at: FIRST, entry: 9, expectedUntil: 9 }],
    ]);
    const [circuit] = site.circuits;
    const notes = newBench({}, { site }).notes;
    const from = { site, history: newBench({}, { site }).history, notes };
    const own = { ...notes.of('a'), inForce: withBaselines(circuit, accepted) };
    expect(unprovenOf({ ...from, notes: { of: () => own } }, circuit, now)).toMatchObject([
      { luminaire: 'A-01', detail },
    ]);
  });
});

describe('a luminaire whose tests end without a verdict', () => {
  it('is named from the second one on: not proven, since when, why, and what is next', () => {
    const { test, unproven, open, status } = newHouse();
    test(TestKind.Full, FIRST, PASS, PASS);
    test(TestKind.Brief, FIRST + 7 * DAY, SILENT, PASS);
    expect(unproven(FIRST + 8 * DAY)).toEqual([]);
    test(TestKind.Brief, FIRST + 14 * DAY, SILENT, PASS);
    const now = FIRST + 15 * DAY;
    const detail =
      'Tests without a verdict: 2, the last on Sun 5 Apr 2026: The current sensor does not answer on its bus.';
    const next = 'Its page says where to look first. Next try, a function test: not planned yet.';
    expect(unproven(now)).toEqual([{ luminaire: 'A-01', since: FIRST, detail, next, nextAt: 0 }]);
    expect(open(now)).toMatchObject([
      {
        luminaire: 'A-01',
        state: 'not proven',
        cause: `Not proven since Sun 22 Mar 2026. ${detail}`,
        next,
        days: 15,
      },
    ]);
    const { controllers, notice } = status(now, 1);
    expect(concerns(controllers.slice(0, 1)).filter(({ luminaire }) => luminaire !== '')).toMatchObject([
      { luminaire: 'A-01', title: 'Not proven', since: FIRST, detail, next },
    ]);
    expect(notice.unproven).toEqual(['Hall']);
    expect(noticePlaces({ notice: { ...notice, unknown: [] }, failed: [] }, 'UTC')).toHaveLength(1);
    test(TestKind.Brief, FIRST + 16 * DAY, PASS, PASS);
    expect([unproven(FIRST + 17 * DAY), open(FIRST + 17 * DAY)]).toEqual([[], []]);
  });

  it('is not proven to last while only its duration tests end so', () => {
    const { test, unproven } = newHouse();
    test(TestKind.Full, FIRST, PASS, PASS);
    test(TestKind.Full, FIRST + 2 * DAY, SILENT, PASS);
    test(TestKind.Full, FIRST + 4 * DAY, SILENT, PASS);
    test(TestKind.Brief, FIRST + 6 * DAY, PASS, PASS);
    expect(unproven(FIRST + 7 * DAY)).toMatchObject([
      { luminaire: 'A-01', since: FIRST, detail: 'Duration tests without a verdict: 2.' },
    ]);
  });

  it('is named whatever arrives late of the time before', () => {
    const { test, unproven } = newHouse();
    test(TestKind.Full, FIRST, PASS, PASS);
    for (const day of [2, 4]) test(TestKind.Brief, FIRST + day * DAY, SILENT, PASS);
    test(TestKind.Brief, FIRST - 60 * DAY, PASS, PASS);
    expect(unproven(FIRST + 5 * DAY)).toMatchObject([{ luminaire: 'A-01', since: FIRST }]);
  });

  it('is a defect and nothing else once it has failed', () => {
    const { test, unproven } = newHouse();
    test(TestKind.Brief, FIRST, FAIL, PASS);
    test(TestKind.Brief, FIRST + DAY, SILENT, PASS);
    test(TestKind.Brief, FIRST + 2 * DAY, SILENT, PASS);
    expect(unproven(FIRST + 3 * DAY)).toEqual([]);
  });
});

describe('a luminaire that no test has proven within the rule’s interval', () => {
  it('is named after its last night, whatever else of the circuit was tested', () => {
    const { test, unproven } = newHouse();
    test(TestKind.Full, FIRST, PASS, PASS);
    test(TestKind.Brief, FIRST + 20 * DAY, SILENT, PASS);
    // The night of the 31st day is the last one; its noon ends it.
    const noon = FIRST + 31 * DAY + 9 * 3600;
    expect(unproven(noon - 1)).toEqual([]);
    expect(unproven(noon + 1)).toMatchObject([{ luminaire: 'A-01', since: FIRST }]);
  });

  it('is told with its whole circuit if all of that is alike, and not where the circuit has another cause', () => {
    const { test, unproven, open, controller } = newHouse();
    test(TestKind.Full, FIRST, PASS, PASS);
    const now = FIRST + 40 * DAY;
    expect(unproven(now)).toMatchObject([{ luminaire: '', detail: 'No test since then had a verdict.' }]);
    expect(open(now)).toMatchObject([{ circuit: 'a', luminaire: '', state: 'not proven', since: FIRST }]);
    // Not heard: that is the cause, and it is told once.
    expect(concerns([controller('a', now)]).map(({ title }) => title)).toEqual([
      'Controller not heard since the host started',
    ]);
  });
});

it('is told in every language of the page', () => {
  const { test, open } = newHouse();
  test(TestKind.Full, FIRST, PASS, PASS);
  for (const day of [2, 4]) test(TestKind.Full, FIRST + day * DAY, SILENT, PASS);
  test(TestKind.Brief, FIRST + 6 * DAY, PASS, PASS);
  const dark = open(FIRST + 7 * DAY);
  test(TestKind.Brief, FIRST + 8 * DAY, SILENT, PASS);
  const old = open(FIRST + 40 * DAY);
  test(TestKind.Brief, FIRST + 42 * DAY, SILENT, SILENT);
  const all = [...dark, ...old, ...open(FIRST + 80 * DAY)].flatMap(({ cause, next }) => [cause, next]);
  for (const kind of ['duration test', 'limited duration test (2/3, not the full duration)'])
    all.push(`No ${kind} has judged it by its measured currents yet.`);
  expect(all.length).toBeGreaterThan(5);
  for (const tongue of ['de', 'fr', 'it'] as const) {
    speak(tongue);
    expect(all.filter((words) => hostWords(words) === words)).toEqual([]);
  }
  speak('en');
});

it('is counted apart from defects, and in the same words on the page and by command', () => {
  const { test, open } = newHouse();
  test(TestKind.Brief, FIRST, SILENT, PASS);
  test(TestKind.Brief, FIRST + DAY, SILENT, PASS);
  const [one] = open(FIRST + 2 * DAY);
  const circuit = { ...one, luminaire: '' };
  const lists = [[], [one], [{ ...one, state: 'open' as const }, one, circuit, circuit]];
  const counts = lists.map((list) => defectCounts(list));
  expect(counts).toEqual([
    'No open defect',
    'No open defect, 1 luminaire not proven',
    '1 open defect, 1 luminaire and 2 circuits not proven',
  ]);
  const page = lists.map((list) => defectsTitle(countDefects(list)));
  expect(page).toEqual(counts);
});

it('an interval three days longer than so many nights has more nights, wherever and whatever the clocks do', () => {
  // Apia left out a whole day in December 2011; Lord Howe changes its clocks by half an hour.
  const zone = fc.constantFrom('Europe/Berlin', 'Pacific/Apia', 'Australia/Lord_Howe', 'America/St_Johns');
  const from = fc.integer({ min: Date.UTC(2011, 11, 1) / 1000, max: Date.UTC(2012, 11, 1) / 1000 });
  fc.assert(
    fc.property(zone, from, fc.integer({ min: 1, max: 400 }), (timeZone, at, days) => {
      expect(nightsBetween(timeZone, at, at + (days + 3) * DAY + 1)).toBeGreaterThan(days);
    }),
  );
});
