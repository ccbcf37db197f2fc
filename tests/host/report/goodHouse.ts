// A house in which every test came in time and passed, and people have looked: what reports depart from.
import { Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import { dutiesOf } from '../../../host/duties/duties';
import type { PointFields } from '../../../host/house/notes/inspected';
import type { Deviation } from '../../../host/report/findings';
import { HOUSE } from '../house/site';
import { at, type Book, DAY_SEC, newBook } from './book';

export const PASS = { verdict: Verdict.Pass };
export const FAIL = { verdict: Verdict.Fail, reason: Reason.EndedEarly, litSec: 2000 };
export const VOID = { verdict: Verdict.Void, reason: Reason.Outage };
/** The log book begins on 2 February 2026. */
export const FROM = '2026-02-02';

export const first = at(FROM, 3);

/** Tests every 28 days, each passed, and a duration test in the first of them, up to a date. */
export async function goodYear(
  book: Book,
  circuit: string,
  lamps: number,
  until = at('2027-01-15'),
): Promise<void> {
  const rows = Array.from({ length: lamps }, () => PASS);
  await book.test(
    circuit,
    TestKind.Full,
    first,
    rows.map((row) => ({ ...row, litSec: 3600 })),
  );
  for (let time = first + 28 * DAY_SEC; time < until; time += 28 * DAY_SEC)
    await book.test(circuit, TestKind.Brief, time, rows);
}

export async function goodHouse(): Promise<Book> {
  const book = await newBook();
  await goodYear(book, 'a', 2);
  await goodYear(book, 'b', 1);
  return book;
}

export const heardNow = async (book: Book): Promise<void> => {
  const heard = Object.fromEntries(
    ['a', 'b'].map((id) => [`demo/${id}`, { at: at('2027-01-15'), text: '' }]),
  );
  await book.logbook.memory.remember('heard', JSON.stringify(heard));
};

/**
 * Somebody looked at everything the rules ask for, a day before the report is made.
 * @param answer what was found at each point; in order by default
 */
export async function lookedAfter(
  book: Book,
  answer: Partial<PointFields> = {},
  done = at('2027-01-14', 9),
): Promise<void> {
  for (const { id: duty, title, points } of dutiesOf(HOUSE)) {
    const seen = points.map(({ id, words }) => ({
      ...{ point: id, asked: words, mark: 'in order', luminaires: [], words: '', ...answer },
    }));
    const fields = { id: `entry-${duty}-${done}`, duty, title, done, scope: 'site', points: seen, words: '' };
    await book.note({ circuit: '*', kind: 'inspection', at: done, who: 'J Doe', fields });
  }
}

/** Without what is about the log book's beginning or silence, which no record here is about. */
export function ofTests(deviations: Deviation[]): Deviation[] {
  return deviations.filter(({ what }) => what !== 'circuit silent');
}
