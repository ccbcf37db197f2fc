// docs/site-file.md, made from the schema.
import { z } from 'zod';
import { capital } from '../words/capital';
import { FIELD_NOTES } from './fieldNotes';
import { type About, fields } from './fields';
import { aboutAt, faultKinds, fieldAt, knownKeys } from './schema';

const HEAD = `# The site file

Made from \`host/site/schema.ts\` and \`host/site/fieldNotes.ts\`; do not edit by hand. After a change there, write it again
with \`WRITE_SITE_DOC=1 npm test -- tests/docs/siteFile.test.ts\`.

A site file describes one building: its hours, areas, circuits and luminaires. It is text in YAML, in UTF-8, up to 32 MB.
Indent with spaces, never with tabs; put a text with a colon, and times such as \`"05:30"\`, between quotes; write
\`true\` or \`false\`, and a decimal point.

- \`nightproof import luminaires.xlsx --out SITE.yaml\` makes one [from a table](#from-a-table), a spreadsheet or CSV; \`export\` makes a table again.
- The page of a running host changes fields, adds and removes areas, circuits and luminaires, and moves a luminaire to another
  circuit, under the same checks;
  comments, order and columns of the rest stay ([operating.md](operating.md#changing-the-site)).
- \`nightproof check SITE.yaml\` says of each mistake where it is and what to write, and then what a plan cannot do.
- [museum-of-tides.yaml](examples/museum-of-tides.yaml) is a whole one.`;

/** Groups in the order of the document: path in \`knownKeys\`, and heading. */
const GROUPS: [string, string][] = [
  ['', 'The building'],
  ['testWindows', '`testWindows[]`, `opening[]` and `areas[].occupied[]`: hours'],
  ['floors', '`floors[]`'],
  ['floorPlans', '`floorPlans[]`: pictures that show where the luminaires are'],
  ['areas', '`areas[]`'],
  ['circuits', '`circuits[]`'],
  ['circuits.luminaires', '`circuits[].luminaires[]`'],
  ['circuits.bus', '`circuits[].bus`: current modules on a bus'],
  ['location', '`location`'],
  ['complianceSchedule', '`complianceSchedule`: where each building has its own rule'],
  ['authorityAgreement', '`authorityAgreement`: where the authority may extend an interval'],
  ['testMore', '`testMore`: tests on top of the rule'],
  ['witnesses', '`witnesses[]`'],
  ['simulation', '`simulation`: for the simulator only'],
  ['simulation.byHand', '`simulation.byHand`: tests by hand, for comparisons'],
];

/** A field by the path of its group without list positions. */
export function fieldIn(group: string, field: string): z.ZodType {
  const path: (string | number)[] = [];
  for (const part of [...(group === '' ? [] : group.split('.')), field]) {
    if (aboutAt(path)?.kind === 'list') path.push(0);
    path.push(part);
  }
  const found = fieldAt(path);
  if (!found) throw new Error(`The site file has no field ${group}.${field}.`);
  return found;
}

const cell = (text: string) => text.replaceAll('|', '\\|');

function meaning(about: About, more = ''): string {
  const what = about.kind === 'group' ? '' : capital(about.what.replace(/^the /, ''));
  return [what && `${what.replace(/\?$/, '')}${what.endsWith('?') ? '?' : '.'}`, more]
    .filter(Boolean)
    .join(' ');
}

function row(group: string, field: string): string {
  const schema = fieldIn(group, field);
  const about = fields.get(schema instanceof z.ZodOptional ? (schema.unwrap() as z.ZodType) : schema)!;
  const note = FIELD_NOTES[group][field];
  const left = schema instanceof z.ZodOptional ? note.otherwise : '**must be written**';
  return `| \`${field}\` | ${cell(meaning(about, note.more))} | ${cell(about.accepts)} | \`${cell(note.example)}\` | ${left} |`;
}

const TABLE = '| field | meaning | what to write | example | if left out |\n| --- | --- | --- | --- | --- |';

function faultTable(): string {
  const rows = Object.entries(faultKinds).map(
    ([kind, keys]) =>
      `| \`${kind}\` | ${keys
        .filter((key) => key !== 'kind')
        .map((key) => `\`${key}\``)
        .join(', ')} |`,
  );
  return ['| kind | its fields |', '| --- | --- |', ...rows].join('\n');
}

function faultFields(): string {
  const rows = knownKeys['simulation.faults']
    .filter((field) => field !== 'kind')
    .map((field) => row('simulation.faults', field));
  return [TABLE, ...rows].join('\n');
}

/** The text of docs/site-file.md but for its last section, which is on tables. */
export function siteDocument(): string {
  const groups = GROUPS.map(
    ([group, heading]) =>
      `## ${heading}\n\n${[TABLE, ...knownKeys[group].map((field) => row(group, field))].join('\n')}`,
  );
  const faults = `## \`simulation.faults[]\`: faults to plant\n\n${faultTable()}\n\n${faultFields()}`;
  return `${[HEAD, ...groups, faults].join('\n\n')}\n`;
}
