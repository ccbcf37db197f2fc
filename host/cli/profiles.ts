import { profileNames, profiles, type RuleProfile } from '../profiles/profile';
import { derivedLines, profileRows, STATUS_WORDS, shortLine } from '../profiles/table';
import { nearest } from '../site/nearest';

function list(): string {
  const longest = Math.max(...profileNames().map((name) => name.length));
  const lines = profiles.map((one) => {
    const indent = ' '.repeat(longest + 2);
    return `${one.name.padEnd(longest)}  ${one.title}\n${indent}${shortLine(one)}`;
  });
  return `${lines.join('\n')}\n\nGive one of these names to see each value with its source.\n`;
}

function details(profile: RuleProfile): string {
  const rows = profileRows(profile);
  const longest = Math.max(...rows.map((row) => row.what.length));
  const indent = ' '.repeat(longest + 4);
  const lines = rows.map((row) => {
    const from = row.source ? `${row.source}: ${row.status}` : row.status;
    return `  ${row.what.padEnd(longest)}  ${row.value}\n${indent}${from}`;
  });
  const more = [...derivedLines(profile), ...profile.notes].map((line) => `- ${line}`);
  return (
    `${profile.name}: ${profile.title}\n\n${lines.join('\n')}\n\n${more.join('\n')}\n\n` +
    'This does not claim compliance with any of these rules; local rules prevail.\n'
  );
}

/**
 * Prints all rule profiles, or one with every value, its source and how far to trust it.
 * @param json one JSON object with the data and the words of each status, and nothing else on stdout
 * @returns the exit code: 0, or 1 if there is no profile of that name
 */
export function profilesCommand(name: string | undefined, json: boolean): number {
  const found = profiles.find((profile) => profile.name === name);
  if (name !== undefined && !found) {
    const near = nearest(name, profileNames());
    const hint = near ? `did you mean "${near}"?` : `write one of: ${profileNames().join(', ')}.`;
    process.stderr.write(`There is no rule profile "${name}"; ${hint}\n`);
    return 1;
  }
  const data = found ? { profile: found } : { profiles };
  if (json) process.stdout.write(`${JSON.stringify({ ...data, status: STATUS_WORDS })}\n`);
  else process.stdout.write(found ? details(found) : list());
  return 0;
}
