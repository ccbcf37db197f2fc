// What the report rests on, and how anybody checks that the log book has not been changed since.
import { momentWord } from '../words/when';
import type { Block } from './document';
import type { Report } from './report';

function checkpointWords({ book, site }: Report): string {
  const { checkpoint } = book;
  if (!checkpoint) return 'none yet: nobody has signed this log book';
  const { size, at, root, witnesses } = checkpoint;
  const who = witnesses.length > 0 ? `the host and ${witnesses.join(', ')}` : 'the host only, no witness';
  return `${size} entries on ${momentWord(at, site.timeZone)}, root ${root}; signed by ${who}`;
}

/** What the log book was when the report was made. */
export function bookFields(report: Report): [string, string][] {
  const { book, found } = report;
  const faults = Object.values(found.faults.counts).reduce((sum, n) => sum + n, 0);
  return [
    ['Entries', String(book.size)],
    ['Root over all of them', book.root],
    ['Newest signed checkpoint', checkpointWords(report)],
    ['Key of the host', book.key],
    [
      'Chains and signatures',
      faults === 0 ? 'all checked for this report, no fault' : `${faults} faults, see deviations`,
    ],
  ];
}

/** The root of the log book's tree, and how to check it. */
export function* proofBlocks(report: Report): Generator<Block> {
  const { book } = report;
  yield { kind: 'heading', level: 1, text: 'The log book behind this report' };
  yield { kind: 'fields', rows: bookFields(report) };
  yield {
    kind: 'list',
    items: [
      `nightproof logbook verify --noted ${book.size}:${book.root} checks the log book, and whether it still begins with ` +
        'the entries of this report.',
      'The PDF contains the records it rests on, the proof that they are in the log book, and the table of results. ' +
        `Save them with "pdfdetach -saveall -o FOLDER REPORT.pdf"; then nightproof logbook evidence FOLDER --noted ${book.size}:${book.root} ` +
        'checks them without the log book.',
      'nightproof logbook proof writes the records of one luminaire as a file that checks itself in any browser.',
      'Times are those of the controllers, or of arrival where a controller did not know the time.',
    ],
  };
}
