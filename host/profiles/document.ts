import { profiles } from './profile';
import type { RuleProfile } from './rule';
import { derivedLines, profileRows, STATUS_WORDS, shortLine } from './table';

const HEAD = `# Rule profiles

Made from the data in \`host/profiles\`; do not edit by hand. After a change there, write it again with
\`WRITE_PROFILES_DOC=1 npm test -- tests/host/profiles\`.

A site file names one of these as \`profile\`; \`npm run -s nightproof -- profiles NAME\` prints it. They are readings
of published rules, most of them from summaries by others. They do not claim that anything complies with any rule.
Compare a profile with the text that applies to the building before relying on it; local rules prevail.`;

const COMMON = `The controller holds every profile to limits of its own (\`firmware/contract/limits.ts\`): a function test lasts at
least 65 s and at most a quarter of the shortest rated duration on its circuit, and a duration test lasts the rated
duration of each luminaire, even where a profile would accept less.`;

function statusTable(): string {
  const meaning = {
    V1: "in the document itself, in a translation of it, or on an authority's own page",
    V2: 'contractors, consultancies, trade press',
    OUR: 'the document says less than the value: its words follow, and how they were read',
    M: 'plausible, not seen',
    'M?': 'low confidence',
    CP: 'common practice or our own choice',
    NONE: 'chosen so that tests come sooner or last longer; the local authority decides',
    SITE: "the building's own document",
  };
  const rows = Object.entries(STATUS_WORDS).map(
    ([code, words]) => `| ${code} | ${words} | ${meaning[code as keyof typeof meaning]} |`,
  );
  return ['| mark | words | meaning |', '| --- | --- | --- |', ...rows].join('\n');
}

function listTable(): string {
  const rows = profiles.map((one) => `| \`${one.name}\` | ${one.title} | ${shortLine(one)} |`);
  return ['| name | rules | tests at the latest |', '| --- | --- | --- |', ...rows].join('\n');
}

function section(profile: RuleProfile): string {
  const rows = profileRows(profile).map(
    (row) => `| ${row.what} | ${row.value} | ${row.source || '–'} | ${row.status} |`,
  );
  return [
    `## \`${profile.name}\``,
    `${profile.title}.`,
    ['| what | value | source | trust |', '| --- | --- | --- | --- |', ...rows].join('\n'),
    [...derivedLines(profile), ...profile.notes].map((line) => `- ${line}`).join('\n'),
  ].join('\n\n');
}

/** The whole text of docs/profiles.md. */
export function profilesDocument(): string {
  return `${[HEAD, COMMON, statusTable(), listTable(), ...profiles.map(section)].join('\n\n')}\n`;
}
