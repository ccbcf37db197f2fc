// Every result of the period as a table for spreadsheets: one line for each luminaire and test.
import type { Site } from '../site/model';
import { tableText } from '../site/table/cells';
import { isoUtc, momentWord } from '../words/when';
import { type LampTest, type ScheduleOptions, scheduledCircuits, testsOf } from './schedule';
import type { Turns } from './turns';

const HEADER = [
  ...['luminaire', 'formerly', 'place', 'circuit', 'test', 'start', 'localStart'],
  ...['litSeconds', 'ratedSeconds', 'result', 'reason', 'entry'],
];

function line({ timeZone }: Site, test: LampTest): (string | number)[] {
  const { luminaire, formerly, place, circuit, kind, at, litSec, ratedSec, verdict, reason, entry } = test;
  const lengths = [litSec ?? 'unknown', ratedSec > 0 ? ratedSec : 'unknown'];
  return [
    ...[luminaire, formerly, place, circuit, kind, isoUtc(at), momentWord(at, timeZone)],
    ...[...lengths, verdict, reason, entry],
  ];
}

/** The table in parts, a circuit at a time, of all tests or only those wanted. With the mark at its start, spreadsheets take it for the UTF-8 that it is. */
export async function* resultsTable(
  o: ScheduleOptions & { turns: Turns },
  isWanted: (test: LampTest) => boolean = () => true,
): AsyncGenerator<string> {
  yield `\uFEFF${tableText([HEADER])}`;
  for (const circuit of scheduledCircuits(o)) {
    const tests = await testsOf(o, circuit);
    const wanted = tests.flat().filter(isWanted);
    yield tableText(wanted.map((test) => line(o.site, test)));
    const others = o.turns();
    if (others) await others;
  }
}
