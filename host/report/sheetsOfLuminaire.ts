// The sheets about one luminaire: what is open, what is due, every test with its currents, and what people did.
import { SIMULATED } from '../logbook/simulated';
import { capital } from '../words/capital';
import { kindName } from '../words/codes';
import { lengthWord } from '../words/length';
import { dateWord, dayWord, momentWord } from '../words/when';
import type { Block, Column, ReportDocument } from './document';
import type { NextTest } from './late';
import { type LuminaireReport, ownTests } from './ofLuminaire';
import { isClean, statusWords } from './report';
import { formerWords, type LampTest, reachedWords } from './schedule';
import { headFields, LIMITS } from './sheets';
import { defectBlocks, deviationBlocks, remarkTable, unprovenBlocks } from './sheetsOfFindings';
import { checkBlocks, dutyBlocks } from './sheetsOfPeople';
import { bookFields } from './sheetsOfProof';
import { RESULTS } from './sheetsOfTests';

function lampFields({ luminaire, circuit, report }: LuminaireReport): [string, string][] {
  const { place, mode, ratedSec, chemistry, batteryFitted, batteriesBefore = [] } = luminaire;
  const { batteryMilliamps, mainsMilliamps } = luminaire;
  const area = report.site.areas.find(({ id }) => id === luminaire.area)?.name ?? luminaire.area;
  const former = formerWords(luminaire);
  return [
    ['Luminaire', former === '' ? luminaire.id : `${luminaire.id} (formerly ${former})`],
    ['Place', `${place}, ${area}`],
    ['Circuit', `${circuit.id}: ${circuit.name}`],
    ['Mode, rated duration', `${mode}, ${lengthWord(ratedSec)}`],
    ['Battery', `${chemistry}, fitted ${dateWord(batteryFitted)}`],
    ...(batteriesBefore.length > 0
      ? ([['Batteries before, fitted', batteriesBefore.map(dateWord).join(', ')]] as [string, string][])
      : []),
    [
      'Lamp current by the site file',
      `${batteryMilliamps} mA on battery${mainsMilliamps > 0 ? `, ${mainsMilliamps} mA on mains` : ''}`,
    ],
  ];
}

function nextWords({ due, last, isLate }: NextTest, zone: string): string {
  const before = last > 0 ? `the last was on ${dayWord(last, zone)}` : 'none is on record';
  return `${isLate ? 'LATE: was due' : 'due'} by ${dayWord(due, zone)}; ${before}`;
}

function* nextBlocks({ next, report }: LuminaireReport): Generator<Block> {
  yield { kind: 'heading', level: 1, text: 'Tests due next' };
  yield {
    kind: 'text',
    text: 'At the latest by the rule profile, whatever the plan is. Counted from the newest test with a verdict.',
  };
  yield {
    kind: 'fields',
    rows: next.map((one) => {
      const name = kindName(one.kind);
      return [capital(name), nextWords(one, report.site.timeZone)];
    }),
  };
}

const COLUMNS: Column[] = [
  { title: 'Date and time', width: 2.6 },
  { title: 'Test', width: 1.7 },
  { title: 'Lit, of rated', width: 1.7 },
  { title: 'mA on battery: 5 s, 60 s, end', width: 2.2 },
  { title: 'mA on mains', width: 1.1 },
  { title: 'Result', width: 1 },
  { title: 'Reason', width: 3 },
  { title: 'Entry', width: 0.9 },
];

function batteryWords({ milliamps, litSec }: LampTest): string {
  // A lamp that was never seen lit has no current, and one that went dark earlier none later.
  const at = (value: number, since: number): string =>
    litSec === null || litSec >= since ? String(value) : '–';
  const [at5, at60, end] = milliamps.battery;
  return `${at(at5, 5)}, ${at(at60, 60)}, ${at(end, 1)}`;
}

async function* testBlocks(own: LuminaireReport): AsyncGenerator<Block> {
  const zone = own.report.site.timeZone;
  const tests = await ownTests(own);
  yield { kind: 'heading', level: 1, text: 'Every test of the period' };
  if (tests.length === 0) {
    yield { kind: 'text', text: 'None: this luminaire was not tested in the period.' };
    return;
  }
  yield {
    kind: 'table',
    columns: COLUMNS,
    rows: tests.map((test) => ({
      cells: [
        ...[momentWord(test.at, zone), kindName(test.kind), reachedWords(test), batteryWords(test)],
        ...[String(test.milliamps.mains), RESULTS[test.verdict], test.reason, String(test.entry)],
      ],
      isStrong: test.verdict === 'fail',
    })),
  };
  yield {
    kind: 'text',
    text:
      'Currents are those of its sensor. On mains: the mean before the relay opened; of a lamp that is dark on mains, what ' +
      'the sensor shows without current.',
  };
}

function noDefectWords(fails: number): string {
  return fails === 0
    ? 'None: it failed no test in the period.'
    : `None is known, though it failed tests of the period: ${fails}. A test made after each had already passed.`;
}

async function* blocksOf(own: LuminaireReport): AsyncGenerator<Block> {
  const { report, deviations, defects, unproven, findings, duties, checks, remarks } = own;
  const { site, found } = report;
  const story = found.lamps.story(own.luminaire.id, own.circuit.id);
  yield { kind: 'title', text: `Emergency luminaire ${own.luminaire.id}` };
  if (report.simulated) yield { kind: 'status', text: SIMULATED, isClean: false };
  yield { kind: 'status', text: statusWords(own), isClean: isClean(own) };
  yield { kind: 'fields', rows: [...lampFields(own), ...headFields(report)] };
  yield* nextBlocks(own);
  yield* testBlocks(own);
  yield* defectBlocks({ site, defects }, noDefectWords(story.counts.fail));
  yield* unprovenBlocks({ site, unproven });
  yield* deviationBlocks({ site, deviations });
  yield* checkBlocks({ site, findings, found: { checks, withdrawals: found.withdrawals } });
  yield* dutyBlocks({ site, duties });
  yield* remarkTable('Repairs and other notes of its circuit', remarks, report);
  yield { kind: 'heading', level: 1, text: 'What this report cannot say' };
  yield { kind: 'list', items: LIMITS };
  yield { kind: 'heading', level: 1, text: 'The log book behind this report' };
  yield { kind: 'fields', rows: bookFields(report) };
  yield {
    kind: 'list',
    items: [
      `nightproof logbook verify --noted ${report.book.size}:${report.book.root} checks the log book, and whether it still ` +
        'begins with the entries of this report.',
      `nightproof logbook proof --luminaire ${own.luminaire.id} writes its records as a file that checks itself in any browser.`,
    ],
  };
}

/** The report on one luminaire as a document. */
export function luminaireDocument(own: LuminaireReport): ReportDocument {
  const { site, period, book, now } = own.report;
  const days = `${dateWord(period.from)} to ${dateWord(period.to)}`;
  const name = `Emergency luminaire ${own.luminaire.id} of ${site.name}, ${days}`;
  return {
    title: name,
    subject: 'Tests, defects and human checks of one emergency luminaire',
    language: 'en',
    foot: `${name}. Log book: ${book.size} entries, root ${book.root}`,
    madeAt: now,
    blocks: blocksOf(own),
  };
}
