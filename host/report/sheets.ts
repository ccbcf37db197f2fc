// The sheets of a report, in the order an inspector reads them.
import { SIMULATED } from '../logbook/simulated';
import { owedFullTests } from '../site/owed';
import { capital } from '../words/capital';
import { kindName } from '../words/codes';
import { dateWord, dayWord, momentWord } from '../words/when';
import type { Block, ReportDocument } from './document';
import type { CountedKind } from './gather';
import type { LampStory } from './lamps';
import { isClean, type Report, statusWords } from './report';
import { completionBlocks, rulesBlocks } from './sheetsOfData';
import {
  defectBlocks,
  deviationBlocks,
  noDefectWords,
  remarkBlocks,
  unprovenBlocks,
} from './sheetsOfFindings';
import { checkBlocks, dutyBlocks } from './sheetsOfPeople';
import { proofBlocks } from './sheetsOfProof';
import { scheduleBlocks } from './sheetsOfTests';

/** What no report here can say. */
export const LIMITS = [
  'Automatic electrical test only: nobody looked whether luminaires are present, clean and unobstructed, whether ' +
    'signs are right, or how much light falls on the way, unless human checks are listed here.',
  'Nightproof is an open design without any certification, and this report claims no compliance with any rule.',
  'Durations are those for which the lamp current was seen, by the limits of the rule profile; rated durations are ' +
    "those of today's site file. What is not known is said to be unknown.",
  'An open relay of a controller is not isolation: before any work, isolate upstream, lock off and prove dead. Work is ' +
    'for competent electricians only; local codes prevail.',
];

const CERTIFICATE =
  'It becomes a certificate only by the signature of a competent person who has made or seen the human checks that are due.';

const KINDS: CountedKind[] = ['brief', 'full', 'limited', 'commissioning'];

/** What the report is about, and how far it reaches. */
export function headFields(report: Report): [string, string][] {
  const { site, period, profile, now, found } = report;
  const day = (at: number): string => dayWord(at, site.timeZone);
  const moment = (at: number): string => momentWord(at, site.timeZone);
  const covers =
    found.entries === 0
      ? 'no entries'
      : `${moment(found.begins)} to ${moment(found.ends)}, ${found.entries} entries`;
  const isOver = now >= period.toSec;
  return [
    ['Building', `${site.name} (${site.id})`],
    ['Period', `${day(period.fromSec)} to ${day(period.toSec - 1)}${isOver ? '' : '; it is not over yet'}`],
    ['Made', `${moment(now)}, local time of the building (${site.timeZone})`],
    ['Log book covers', covers],
    ['Responsible', site.responsible],
    ['Rule profile', `${profile.name}: ${profile.title}`],
    [
      'Tests at the latest',
      `function test every ${profile.brief.latestDays.value} days, duration test every ${profile.full.latestDays.value} days`,
    ],
    ['Records kept', `${profile.records.years.value} years at least by these rules`],
  ];
}

/** Most circuits named in a line of the summary; the schedule has all. */
const CIRCUITS_MAX = 20;

/** "18, in circuits G-1 (3), G-2 (15)"; "none". */
function whereWords(lamps: readonly LampStory[]): string {
  if (lamps.length === 0) return 'none';
  const counts = new Map<string, number>();
  for (const { circuit } of lamps) counts.set(circuit, (counts.get(circuit) ?? 0) + 1);
  const names = [...counts].map(([circuit, n]) => `${circuit} (${n})`);
  const more = names.length - CIRCUITS_MAX;
  const told = `${names.slice(0, CIRCUITS_MAX).join(', ')}${more > 0 ? ` and ${more} more` : ''}`;
  return `${lamps.length}, by circuit: ${told}`;
}

function summaryRows({ lamps, found }: Report): [string, string][] {
  const untested = lamps.filter(({ counts }) => counts.pass + counts.fail === 0);
  const noFull = lamps.filter(({ full, limited }) => full.within.length + limited.within.length === 0);
  const kinds = KINDS.flatMap((kind): [string, string][] => {
    const counts = found.counts.get(kind);
    if (!counts) return [];
    const { tests, pass, fail, void: nothing } = counts;
    const name = kindName(kind);
    return [
      [
        `${capital(name)}s of circuits`,
        `${tests}; of luminaires: ${pass} passed, ${fail} failed, ${nothing} void`,
      ],
    ];
  });
  return [
    ['Luminaires in the site file', String(lamps.length)],
    ...(kinds.length > 0 ? kinds : ([['Tests', 'none in the period']] as [string, string][])),
    ['Luminaires not tested in the period', whereWords(untested)],
    ['Luminaires without a duration test in the period', whereWords(noFull)],
  ];
}

/** What the person who signs claims: without it the signature would say nothing. */
function declaration(clean: boolean): string {
  const rest = clean ? 'Nothing was open when it was made.' : 'What is open in it is being dealt with.';
  return `I am competent for this work, have made or seen the human checks listed here, and have read this report. ${rest}`;
}

function* firstSheet(report: Report): Generator<Block> {
  const { site, profile } = report;
  yield { kind: 'title', text: 'Emergency lighting: periodic inspection and test certificate' };
  if (report.simulated)
    yield {
      kind: 'status',
      text: SIMULATED,
      isClean: false,
    };
  yield { kind: 'status', text: statusWords(report), isClean: isClean(report) };
  yield { kind: 'fields', rows: headFields(report) };
  yield { kind: 'heading', level: 1, text: 'Summary' };
  yield { kind: 'fields', rows: summaryRows(report) };
  yield { kind: 'heading', level: 1, text: 'What this report cannot say' };
  yield { kind: 'list', items: [...LIMITS, CERTIFICATE, ...owedFullTests(site, profile)] };
  yield { kind: 'heading', level: 1, text: 'Signature' };
  yield { kind: 'text', text: declaration(isClean(report)) };
  yield { kind: 'blanks', names: ['Name', 'Date', 'Signature'] };
}

async function* blocksOf(report: Report): AsyncGenerator<Block> {
  yield* firstSheet(report);
  yield { kind: 'sheet' };
  yield* deviationBlocks(report);
  const fails = [...report.found.counts.values()].reduce((sum, { fail }) => sum + fail, 0);
  yield* defectBlocks(report, noDefectWords(fails));
  yield* unprovenBlocks(report);
  yield* checkBlocks(report);
  yield* dutyBlocks(report);
  yield* remarkBlocks(report);
  yield { kind: 'part' };
  yield* scheduleBlocks(report);
  yield { kind: 'part' };
  yield* completionBlocks(report);
  yield* rulesBlocks(report);
  yield* proofBlocks(report);
}

/** The report as a document. */
export function documentOf(report: Report): ReportDocument {
  const { site, period, book, now } = report;
  const days = `${dateWord(period.from)} to ${dateWord(period.to)}`;
  return {
    title: `Emergency lighting of ${site.name}, ${days}`,
    subject: 'Periodic inspection and test certificate of emergency escape lighting',
    language: 'en',
    foot: `${site.name}, ${days}. Log book: ${book.size} entries, root ${book.root}`,
    madeAt: now,
    blocks: blocksOf(report),
  };
}
