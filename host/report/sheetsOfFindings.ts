// Sheets about what departed from the rules, what is broken, and what people did.
import { type Defect, type Mended, stateOf } from '../house/defects/defect';
import type { Care } from '../house/notes/care';
import { placesOf } from '../house/rows/listed';
import { failedRepairWords } from '../house/view/defects';
import type { Site } from '../site/model';
import { kindName, reasonSentence } from '../words/codes';
import { dateWord, dayWord, momentWord } from '../words/when';
import type { Block, Column } from './document';
import { type Deviation, isOpen, type Remark, someOf } from './findings';
import { isBroken, type Report, type ReportedDefect } from './report';
import { withdrawnAfter } from './sheetsOfPeople';

function namesOf({ circuits }: Site, { circuit, luminaires }: Deviation): string {
  if (luminaires.length === 0) return '';
  const all = circuits.find(({ id }) => id === circuit)?.luminaires.length ?? 0;
  if (luminaires.length === all && all > 1) return ` All ${all} luminaires of the circuit.`;
  return ` Luminaires: ${someOf(luminaires)}.`;
}

const DEVIATION_COLUMNS: Column[] = [
  { title: 'Since', width: 2 },
  { title: 'Circuit', width: 1.3 },
  { title: 'What', width: 1.5 },
  { title: 'In words', width: 6 },
  { title: 'State', width: 2 },
];

function stateWords(one: Deviation, zone: string): string {
  if (one.isGone) return 'ended with the site file';
  if (one.isUnknown) return 'not known';
  return isOpen(one) ? 'OPEN' : `closed ${dayWord(one.closedAt, zone)}`;
}

/** Late, missed and void tests, tester faults, silence, doubts. */
export function* deviationBlocks({
  deviations,
  site,
}: Pick<Report, 'deviations' | 'site'>): Generator<Block> {
  yield { kind: 'heading', level: 1, text: 'Deviations' };
  yield {
    kind: 'text',
    text:
      deviations.length === 0
        ? 'None: no test was late, missed or void, every circuit was heard, and the log book shows no fault.'
        : 'Departures from what was due. What is broken is listed under defects.',
  };
  if (deviations.length === 0) return;
  yield {
    kind: 'table',
    columns: DEVIATION_COLUMNS,
    rows: deviations.map((one) => ({
      cells: [
        dayWord(one.at, site.timeZone),
        one.circuit,
        one.what,
        `${one.text}${namesOf(site, one)}${one.entry > 0 ? ` Entry ${one.entry}.` : ''}`,
        stateWords(one, site.timeZone),
      ],
      isStrong: isOpen(one),
    })),
  };
}

function repairWords({ at, who, what, entry }: Mended, zone: string): string {
  return `${dayWord(at, zone)}: ${what || 'repaired'}, entered by ${who} (entry ${entry}).`;
}

function careWords(care: Pick<Care, 'owner' | 'due' | 'interim' | 'words'> | null): string {
  if (!care) return '';
  const { owner, due, interim, words } = care;
  return [
    owner === '' ? '' : `In the hands of ${owner}.`,
    due === '' ? '' : `Due by ${dateWord(due)}.`,
    interim === '' ? '' : `Until then: ${interim}.`,
    words,
  ]
    .filter((part) => part !== '')
    .join(' ');
}

function retestWords(one: ReportedDefect, zone: string): string {
  const { closed, needs } = one;
  if (closed)
    return `Passed the ${kindName(closed.kind)} of ${momentWord(closed.at, zone)} (entry ${closed.entry}).`;
  if (one.goneFrom !== undefined)
    return `No longer in the site file. It never passed the ${kindName(needs)} that it needed.`;
  const state = stateOf(one) === 'repaired' ? 'OPEN: repaired, not yet tested' : 'OPEN';
  const failed = failedRepairWords(one, zone);
  return `${state}. ${failed === '' ? '' : `${failed} `}It needs a ${kindName(needs)} that is passed.`;
}

function failWords({ opened, last, fails, reopened }: Defect, zone: string): string {
  const first = `${momentWord(opened.at, zone)}, ${kindName(opened.kind)}: ${reasonSentence(opened.reason)} Entry ${opened.entry}.`;
  const again = fails > 1 ? ` Failed tests: ${fails}, the last of them entry ${last.entry}.` : '';
  return `${first}${again}${reopened > 0 ? ` It came back ${reopened === 1 ? 'once' : `${reopened} times`}.` : ''}`;
}

/** The schedule of the same report may show failures: then the sheet must not say that there were none. */
export function noDefectWords(fails: number): string {
  return fails === 0
    ? 'None: no luminaire failed a test in the period.'
    : `None is known, though results of luminaires that failed are in the schedule: ${fails}. A test made after each had already passed, or the log book does not say whose they are.`;
}

/** Failed luminaires, with what was done and the test after it. @param none what is said where there are none */
export function* defectBlocks(
  { defects, site }: Pick<Report, 'defects' | 'site'>,
  none: string,
): Generator<Block> {
  const zone = site.timeZone;
  yield { kind: 'heading', level: 1, text: 'Defects' };
  if (defects.length === 0) {
    yield { kind: 'text', text: none };
    return;
  }
  const places = placesOf(site);
  yield {
    kind: 'table',
    columns: [
      { title: 'Luminaire', width: 1.5 },
      { title: 'Circuit', width: 1.3 },
      { title: 'Failed', width: 4.5 },
      { title: 'Repair, and who sees to it', width: 3 },
      { title: 'Test after it', width: 3 },
    ],
    rows: defects.map((one) => ({
      cells: [
        one.luminaire,
        one.goneFrom ?? places.get(one.luminaire)?.circuit ?? '',
        failWords(one, zone),
        [...one.repairs.map((note) => repairWords(note, zone)), careWords(one.care)].join(' ').trim() ||
          'none entered',
        retestWords(one, zone),
      ],
      isStrong: isBroken(one),
    })),
  };
}

/** What has not failed, but no test has proven of late; nothing if there is no such part. */
export function* unprovenBlocks({ unproven, site }: Pick<Report, 'unproven' | 'site'>): Generator<Block> {
  if (unproven.length === 0) return;
  yield { kind: 'heading', level: 2, text: 'Not proven' };
  yield {
    kind: 'text',
    text: 'Nothing has failed here, but for too long no test has shown that it works, as far as is known now.',
  };
  yield {
    kind: 'table',
    columns: [
      { title: 'Since', width: 2 },
      { title: 'Circuit', width: 1.3 },
      { title: 'Luminaire', width: 1.5 },
      { title: 'In words', width: 7 },
    ],
    rows: unproven.map(({ since, circuit, luminaire, cause, care }) => ({
      cells: [
        since > 0 ? dayWord(since, site.timeZone) : 'not known',
        circuit,
        luminaire === '' ? 'all' : luminaire,
        `${cause} ${careWords(care)}`.trimEnd(),
      ],
      isStrong: true,
    })),
  };
}

/** What people entered and the controllers noted, under a heading. */
export function* remarkTable(
  heading: string,
  remarks: readonly Remark[],
  { found, site }: Pick<Report, 'found' | 'site'>,
): Generator<Block> {
  yield { kind: 'heading', level: 1, text: heading };
  if (remarks.length === 0) {
    yield { kind: 'text', text: 'None in the period.' };
    return;
  }
  yield {
    kind: 'table',
    columns: [
      { title: 'When', width: 2.5 },
      { title: 'Circuit', width: 1.3 },
      { title: 'In words', width: 8 },
      { title: 'Entry', width: 1 },
    ],
    rows: remarks.map(({ at, circuit, text, entry }) => ({
      cells: [
        momentWord(at, site.timeZone),
        circuit,
        `${text}${withdrawnAfter(found, entry, site.timeZone)}`,
        String(entry),
      ],
    })),
  };
}

/** Repairs, work, accepted currents, orders and mains failures. */
export function* remarkBlocks(report: Report): Generator<Block> {
  const { found } = report;
  const remarks = [...found.remarks, ...found.troubles.remarks].sort((a, b) => a.entry - b.entry);
  yield* remarkTable('Repairs and other notes', remarks, report);
}
