// The last section of docs/site-file.md, made from the columns.
import { COLUMNS } from './columns';

const FROM_A_TABLE = `## From a table

\`import\` takes one luminaire a row, columns in any order; [luminaires.csv](examples/luminaires.csv) is a table to begin with.
The titles are looked for in the first rows, so the name of the building may stand above them. Capitals, spaces, hyphens and
brackets in a title do not count, and a unit behind it does: *Duration (h)*, *Rated duration [min]*, *Lamp current A*. A title
that may mean a column stops the import: \`--column "Kind of fitting=mode"\` says what it is, \`--ignore-column "Kind of
fitting"\` leaves it out. Titles that are like none of these are left out, and named. *M*, *NM* and *SM* are maintained,
non-maintained and switched maintained, *NM3* is also 3 h. Dates may be 2024-03-12, 12.03.2024, 12 Mar 2024 or 12/03/2024, if
one in the column tells which number is the day, or else \`--dates\` does. \`--replace\` keeps the old site file as
\`FILE.before\`, at the next go as \`FILE.before-2\`, and so on.`;

/** The titles of a table, in the order in which `export` writes them. */
function titleTable(): string {
  const rows = COLUMNS.map(({ title, also, perhaps = [], isNeeded }) => {
    const unsure = perhaps.length > 0 ? `; ${perhaps.join(', ')}, if most cells fit` : '';
    return `| \`${title}\`${isNeeded ? ', needed' : ''} | ${also.join(', ')}${unsure} |`;
  });
  return ['| column | titles that are read too |', '| --- | --- |', ...rows].join('\n');
}

/** The section on tables of luminaires. */
export function tableDocument(): string {
  return `${FROM_A_TABLE}\n\n${titleTable()}\n`;
}
