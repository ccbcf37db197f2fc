// `import`: a site file from a table of luminaires, text or spreadsheet. `export`: the table from a site file.
import { existsSync, realpathSync, statSync } from 'node:fs';
import { basename, extname } from 'node:path';
import { nowSec, systemClock } from '../clock';
import { localDate } from '../site/civil';
import { SITE_BYTES_MAX } from '../site/fileText';
import { type Mistake as FileMistake, parseSite } from '../site/load';
import type { Site } from '../site/model';
import { type Building, type BuildingSaid, buildingOf } from '../site/table/building';
import { onOneLine } from '../site/table/cells';
import { type Draft, draftOf } from '../site/table/draft';
import { lostOf } from '../site/table/lost';
import { tooManyAreas } from '../site/table/neighbours';
import { readTable, type TableSaid } from '../site/table/read';
import type { ExpectedCurrents } from '../site/table/reader';
import type { Row, Table } from '../site/table/rows';
import { luminaireTable, luminaireWorkbook } from '../site/table/write';
import { defaultLines, siteText } from '../site/table/yamlText';
import { freeBefore, readSiteText, saveSiteText } from '../siteDoor/file';
import { Mistake, PROGRAM } from './arguments';
import { complain } from './complaints';
import { checkNew, writeNew } from './newFile';

/** A mistake that only the whole site shows, at the row of its luminaire. */
function inTable(mistake: FileMistake, table: string, { places, circuits }: Draft): FileMistake {
  const lamp = /luminaires\[([\w-]+)\]/.exec(mistake.field)?.[1];
  const circuit = circuits.find(({ id }) => mistake.field.startsWith(`circuits[${id}]`));
  const { line, sheet } = places.get(lamp ?? circuit?.luminaires[0].id ?? '') ?? { line: 0 };
  return { ...mistake, file: table, line, ...(sheet !== undefined && { sheet }) };
}

export interface MadeSite {
  building: Building;
  draft: Draft;
  text: string;
}

/** The site file of rows, checked as `check` does. `table` names where the rows come from. */
export function makeSite(
  rows: Row[],
  o: { building: Building; table: string; origin: string; expected?: ExpectedCurrents },
): MadeSite | { mistakes: FileMistake[] } {
  const { building, table, origin, expected } = o;
  const today = localDate(building.timeZone, nowSec(systemClock));
  const made = draftOf(rows, table, today, expected);
  if ('mistakes' in made) return made;
  const { draft } = made;
  const tooMany = tooManyAreas(draft);
  if (tooMany) return { mistakes: [{ file: table, line: 0, field: '', message: tooMany }] };
  const text = siteText(building, draft, `${origin}, ${today}.`);
  if (Buffer.byteLength(text) > SITE_BYTES_MAX) {
    const message = `makes a site file larger than ${SITE_BYTES_MAX / 1024 / 1024} MB; make one of each building.`;
    return { mistakes: [{ file: table, line: 0, field: '', message }] };
  }
  const checked = parseSite(text, table, () => today);
  if ('mistakes' in checked) return { mistakes: checked.mistakes.map((one) => inTable(one, table, draft)) };
  return { building, draft, text };
}

/** What was made, its defaults, and the next step. */
export function tellSite({ building, draft }: MadeSite, out?: string): void {
  const luminaires = draft.circuits.reduce((sum, circuit) => sum + circuit.luminaires.length, 0);
  const circuits = draft.circuits.length;
  const defaults = defaultLines(building, draft);
  const lines = [
    `${building.name}: ${circuits} circuit${circuits === 1 ? '' : 's'}, ${luminaires} luminaire${luminaires === 1 ? '' : 's'}.`,
    ...draft.doubts.map((line) => `Please check: ${line}.`),
    'Defaults, because nothing else was said:',
    ...defaults.map((line) => `  - ${line}`),
    out === undefined
      ? 'Nothing was written, as --dry-run asks.'
      : `Written: ${out}. Next: \`${PROGRAM} check ${out}\`.`,
  ];
  process.stdout.write(`${lines.map(onOneLine).join('\n')}\n`);
}

export interface ImportOptions extends BuildingSaid, TableSaid, ExpectedCurrents {
  table: string;
  out?: string;
  replace: boolean;
  dryRun: boolean;
}

/** @throws Mistake where the site file could not be written */
function checkOut({ table, out, replace, dryRun }: ImportOptions): void {
  if (out === undefined) {
    if (dryRun) return;
    throw new Mistake(
      '--out is missing; name the site file to write, such as --out site.yaml, or add --dry-run.',
    );
  }
  if (!existsSync(out)) {
    checkNew('--out', out);
    return;
  }
  if (!statSync(out).isFile() || (existsSync(table) && realpathSync(out) === realpathSync(table)))
    throw new Mistake(`--out ${out}: this is no site file; name the site file to write.`);
  if (!replace)
    throw new Mistake(
      `--out ${out}: this file already exists; name a new one, or add --replace: the old one is kept as ${freeBefore(out)}.`,
    );
}

function write(out: string, text: string, replace: boolean): void {
  if (!replace || !existsSync(out)) {
    writeNew('--out', out, text);
    return;
  }
  const kept = freeBefore(out);
  saveSiteText(out, readSiteText(out), text, kept);
  process.stdout.write(`The file before is kept as ${kept}.\n`);
}

/** How the titles were understood: the first thing to look over. */
function tellTitles({ taken, unused }: Table): void {
  if (taken.length > 0) process.stdout.write(`Titles taken: ${taken.join('; ')}.\n`);
  if (unused.length > 0) process.stdout.write(`Columns that are not used: ${unused.join(', ')}.\n`);
}

/** @returns the exit code: 1 if a row is wrong. @throws Error with one sentence for an option that is wrong. */
export async function importCommand(o: ImportOptions): Promise<number> {
  checkOut(o);
  const name = basename(o.table, extname(o.table));
  const building = buildingOf(o, name);
  const read = await readTable(o.table, o);
  if ('mistakes' in read) return complain(read.mistakes, o.table);
  const { rows, undecided } = read.table;
  const made = makeSite(rows, {
    building,
    table: o.table,
    origin: `Made from ${basename(o.table)}`,
    expected: o,
  });
  const mistakes = [...undecided, ...('mistakes' in made ? made.mistakes : [])];
  if (mistakes.length > 0 || 'mistakes' in made) return complain(mistakes, o.table);
  const out = o.dryRun ? undefined : o.out;
  if (out !== undefined) write(out, made.text, o.replace);
  tellTitles(read.table);
  tellSite(made, out);
  return 0;
}

/** @returns the exit code. @throws Error with one sentence if the table cannot be written. */
export async function exportCommand(site: Site, out: string): Promise<number> {
  checkNew('--out', out);
  const isWorkbook = extname(out).toLowerCase() === '.xlsx';
  writeNew('--out', out, isWorkbook ? await luminaireWorkbook(site) : luminaireTable(site));
  const luminaires = site.circuits.reduce((sum, circuit) => sum + circuit.luminaires.length, 0);
  const lost = lostOf(site);
  process.stdout.write(
    `Written: ${out}, ${luminaires} luminaires. \`nightproof import\` makes a new site file from the table; name, hours and ` +
      'rule profile of the building are options there.\n',
  );
  if (lost.length > 0)
    process.stdout.write(
      `The table cannot hold these, so a new file would be without them: ${lost.join(', ')}.\n`,
    );
  return 0;
}
