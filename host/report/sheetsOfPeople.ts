// Sheets about what people looked at, and what they owe.
import { type DueDuty, dueWords } from '../duties/due';
import { intervalWords } from '../duties/duties';
import { inspectionWords, scopeWords } from '../house/notes/inspected';
import { withdrawnWords } from '../house/notes/withdrawn';
import { capital } from '../words/capital';
import { dateWord, dayWord, momentWord } from '../words/when';
import type { Block } from './document';
import { someOf } from './findings';
import type { Gathered } from './gather';
import { isOverdue, type Report } from './report';

/** " Withdrawn on ...", or nothing: what somebody withdrew stays on the sheets, and counts for nothing. */
export function withdrawnAfter(
  { withdrawals }: Pick<Gathered, 'withdrawals'>,
  entry: number,
  zone: string,
): string {
  const by = withdrawals.of(entry);
  return by ? ` WITHDRAWN. ${withdrawnWords(by, zone)}` : '';
}

/** What people looked at in the period, and what they found that nobody has seen in order since. */
export function* checkBlocks({
  found,
  findings,
  site,
}: Pick<Report, 'findings' | 'site'> & {
  found: Pick<Gathered, 'checks' | 'withdrawals'>;
}): Generator<Block> {
  const zone = site.timeZone;
  yield { kind: 'heading', level: 1, text: 'Human checks' };
  if (found.checks.length === 0)
    yield { kind: 'text', text: 'None entered: nobody has said that they looked at anything in the period.' };
  else
    yield {
      kind: 'table',
      columns: [
        { title: 'Done', width: 2.5 },
        { title: 'By', width: 2 },
        { title: 'What', width: 7 },
        { title: 'Entry', width: 1 },
      ],
      rows: found.checks.map((check) => ({
        cells: [
          momentWord(check.done, zone),
          check.who,
          capital(`${inspectionWords(check, check.at, zone)}${withdrawnAfter(found, check.entry, zone)}`),
          String(check.entry),
        ],
      })),
    };
  if (findings.length === 0) return;
  yield { kind: 'heading', level: 2, text: 'Found by people, and not seen in order since' };
  yield {
    kind: 'table',
    columns: [
      { title: 'Since', width: 2 },
      { title: 'Where', width: 2 },
      { title: 'Not in order', width: 5 },
      { title: 'In words', width: 3 },
      { title: 'Found by', width: 2 },
    ],
    rows: findings.map(({ since, luminaire, scope, asked, words, who }) => ({
      cells: [dayWord(since, zone), luminaire === '' ? scopeWords(scope) : luminaire, asked, words, who],
      isStrong: true,
    })),
  };
}

/** The date of what is still to come. */
function dateOf({ state, due }: DueDuty): string {
  return state === 'soon' || state === 'later' ? `, ${dateWord(due)}` : '';
}

function leftWords({ left }: DueDuty): string {
  return left.length === 0 ? '' : ` Still to see: ${someOf(left)}.`;
}

/** What the rules ask of people, when it was last done, and how far it is overdue now. */
export function* dutyBlocks({ duties, site }: Pick<Report, 'duties' | 'site'>): Generator<Block> {
  yield { kind: 'heading', level: 2, text: 'What people must look at' };
  yield {
    kind: 'text',
    text: 'By the rule profile and common practice. What was done without being entered may be written here by hand.',
  };
  yield {
    kind: 'table',
    columns: [
      { title: 'What', width: 4 },
      { title: 'How often', width: 2 },
      { title: 'Last entered', width: 3 },
      { title: 'Now', width: 3.5 },
      { title: 'By hand: who, when', width: 3 },
    ],
    rows: duties.map((one) => ({
      cells: [
        one.duty.title,
        intervalWords(one.duty.interval),
        one.last ? `${dayWord(one.last.done, site.timeZone)} by ${one.last.who}` : 'never',
        `${dueWords(one)}${dateOf(one)}.${leftWords(one)}`,
        '',
      ],
      isStrong: isOverdue(one),
    })),
  };
}
