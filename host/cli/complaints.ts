// Mistakes of a table as lines: one for each, and one for a mistake that many rows of a column have.
import { formatMistake, type Mistake } from '../site/load';

/** Most mistakes shown: a table in another order has one in every row. */
const SHOWN_MAX = 200;
/** The same mistake in more rows than this is told once: it is one of the column. */
const SAME_MAX = 3;

/** What mistakes share that differ only in the value of their cells. */
const kindOf = ({ sheet = '', field, message }: Mistake) =>
  `${sheet}\n${field}\n${message.split(', but is ')[0]}`;

/** The first of mistakes that are the same in many rows, with the count and the first rows. */
function together(same: Mistake[]): Mistake {
  const [first] = same;
  const rows = same.slice(0, SAME_MAX).map(({ line }) => line);
  return { ...first, message: `${first.message} ${same.length} rows, first ${rows.join(', ')}.` };
}

/** The mistakes, those of a kind that many rows have as one, in the place of the first. */
export function grouped(mistakes: Mistake[]): Mistake[] {
  const kinds = new Map<string, Mistake[]>();
  for (const mistake of mistakes) {
    const kind = kindOf(mistake);
    const same = kinds.get(kind);
    if (same) same.push(mistake);
    else kinds.set(kind, [mistake]);
  }
  return mistakes.flatMap((mistake) => {
    const same = kinds.get(kindOf(mistake))!;
    if (same.length <= SAME_MAX) return [mistake];
    return same[0] === mistake ? [together(same)] : [];
  });
}

/** One line for each mistake, the first ones. @returns the exit code */
export function complain(mistakes: Mistake[], file: string): number {
  const told = grouped(mistakes);
  for (const mistake of told.slice(0, SHOWN_MAX)) process.stderr.write(`${formatMistake(mistake)}\n`);
  const more = told.length - SHOWN_MAX;
  if (more > 0) process.stderr.write(`${file}: and ${more} more mistakes; correct these first.\n`);
  process.stderr.write('Nothing was written.\n');
  return 1;
}
