// The schedule of every result, and who was not tested.
import { kindName } from '../words/codes';
import { momentWord } from '../words/when';
import type { Block, Column, Row } from './document';
import type { Report } from './report';
import { reachedWords, rowsOf, type ScheduleRow, scheduledCircuits, testsOf } from './schedule';

const COLUMNS: Column[] = [
  { title: 'Date and time', width: 3 },
  { title: 'Test', width: 1.7 },
  { title: 'Luminaires', width: 3.8 },
  { title: 'Lit, of rated', width: 1.7 },
  { title: 'Result', width: 1 },
  { title: 'Reason', width: 3 },
  { title: 'Entry', width: 0.9 },
];

/** Verdicts as the sheets say them. */
export const RESULTS: Record<string, string> = { pass: 'passed', fail: 'FAILED', void: 'void', open: 'open' };

function rowOf(row: ScheduleRow, zone: string): Row {
  const { at, kind, luminaires, verdict, reason, entry } = row;
  return {
    cells: [
      ...[momentWord(at, zone), kindName(kind), luminaires.join(', '), reachedWords(row)],
      ...[RESULTS[verdict], reason, String(entry)],
    ],
    isStrong: verdict === 'fail',
  };
}

/** Luminaires that no test of the period judged. */
function* untestedBlocks({ lamps, site }: Report): Generator<Block> {
  const ids = new Set(lamps.filter(({ counts }) => counts.pass + counts.fail === 0).map(({ id }) => id));
  if (ids.size === 0) return;
  yield { kind: 'heading', level: 2, text: 'Not tested in the period' };
  const rows = site.circuits.flatMap(({ id, luminaires }): Row[] => {
    const names = luminaires.flatMap((lamp) => (ids.has(lamp.id) ? [lamp.id] : []));
    return names.length > 0 ? [{ cells: [id, names.join(', ')], isStrong: true }] : [];
  });
  const columns = [
    { title: 'Circuit', width: 1 },
    { title: 'Luminaires without a result that passed or failed', width: 6 },
  ];
  yield { kind: 'table', columns, rows };
}

/** Every result of the period, circuit by circuit. */
export async function* scheduleBlocks(report: Report): AsyncGenerator<Block> {
  const { site } = report;
  yield { kind: 'heading', level: 1, text: 'Schedule of results' };
  yield {
    kind: 'text',
    text: 'Every test of every luminaire. Luminaires with the same outcome of one test share a row.',
  };
  yield* untestedBlocks(report);
  const names = new Map(site.circuits.map(({ id, name }) => [id, name]));
  for (const circuit of scheduledCircuits(report)) {
    const name = names.get(circuit) ?? 'no longer in the site file';
    yield { kind: 'heading', level: 2, text: `Circuit ${circuit}: ${name}` };
    const tests = await testsOf(report, circuit);
    yield {
      kind: 'table',
      columns: COLUMNS,
      rows: tests.flatMap(rowsOf).map((row) => rowOf(row, site.timeZone)),
    };
  }
}
