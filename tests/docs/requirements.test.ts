// docs/requirements.md against the tests that are named after its rows.
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

const root = fileURLToPath(new URL('../..', import.meta.url));
const file = join(root, 'docs/requirements.md');
const folder = join(root, 'tests/requirements');
const HEADING = '\n## The tests\n';

/** Rows in which the controller has a part; the others are for the host and people. */
const CONTROLLER = [1, 2, 3, 4, 5, 6, 7, 9, 10, 11, 14, 15, 16, 18, 19, 21, 27, 28, 29, 30, 31, 32, 33, 34]
  .concat([35, 36, 37, 38, 43, 45, 46, 51])
  .map((n) => `R${String(n).padStart(2, '0')}`);

interface Named {
  title: string;
  file: string;
}

/** First argument of every test in the folder; `it.each` has its title in a second pair of brackets. */
function titles(): { named: Named[]; tests: number } {
  const named: Named[] = [];
  let tests = 0;
  for (const name of readdirSync(folder).sort()) {
    if (!name.endsWith('.test.ts')) continue;
    const text = readFileSync(join(folder, name), 'utf8');
    tests += [...text.matchAll(/\bit(\.each)?\(/g)].length;
    for (const match of text.matchAll(/\(\s*(['"`])(R\d\d .*?)\1,\s/g))
      named.push({ title: match[2], file: name });
  }
  return { named, tests };
}

const { named, tests } = titles();
const written = readFileSync(file, 'utf8');
const cut = written.indexOf(HEADING);
const rows = written
  .slice(0, cut)
  .split('\n')
  .filter((line) => /^\| R\d/.test(line))
  .map((line) => line.split('|').map((cell) => cell.trim()));
const ids = rows.map((row) => row[1]);
const numbered = Array.from({ length: 52 }, (_, i) => `R${String(i + 1).padStart(2, '0')}`);

/** The second half of the document: every title under its row. */
function listed(): string {
  const lines = [HEADING];
  for (const id of CONTROLLER) {
    const own = named.filter((one) => one.title.startsWith(`${id} `));
    if (own.length === 0) continue;
    lines.push(`**${id}**`, '');
    for (const one of own)
      lines.push(`- ${one.title.slice(4).replace('%s', '…')} — \`tests/requirements/${one.file}\``);
    lines.push('');
  }
  return lines.join('\n').trimEnd().concat('\n');
}

describe('docs/requirements.md', () => {
  it('has the 52 rows in order, each with a source, a marked status and a place', () => {
    expect(ids).toEqual(numbered);
    for (const row of rows) {
      expect(row, row[1]).toHaveLength(7);
      expect(row[2], row[1]).toMatch(/\b(V1|V2|M|CP)\b/);
      expect(row.every((cell, i) => i === 0 || i === 6 || cell.length > 0)).toBe(true);
      expect(row[4], row[1]).toMatch(/^([CHP])( [HP])*$/);
    }
  });

  it('gives the controller a part in the rows in which it has one', () => {
    expect(rows.filter((row) => row[4].startsWith('C')).map((row) => row[1])).toEqual(CONTROLLER);
  });

  it('lists the tests as they are named (rewrite it with WRITE_REQUIREMENTS_DOC=1)', () => {
    if (process.env.WRITE_REQUIREMENTS_DOC === '1') writeFileSync(file, written.slice(0, cut) + listed());
    expect(readFileSync(file, 'utf8').slice(cut)).toBe(listed());
  });

  it('never claims that a standard is met as a whole', () => {
    expect(written).not.toMatch(/\b(complies|compliant|conforms|in accordance) with\b/i);
  });
});

describe('the tests named after requirements', () => {
  it('exist for every row in which the controller has a part, and for none that it does not meet', () => {
    const unmet = rows.filter((row) => row[5].includes('**Not met**')).map((row) => row[1]);
    const met = CONTROLLER.filter((id) => !unmet.includes(id));
    expect([...new Set(named.map((one) => one.title.slice(0, 3)))].sort()).toEqual(met);
  });

  it('all begin with their row, are unique, and end with source and status', () => {
    expect(named).toHaveLength(tests);
    expect(named.filter((one, i) => named.findIndex((other) => other.title === one.title) !== i)).toEqual([]);
    expect(named.filter((one) => !/\(.*\b(V1|V2|M|CP)\b.*\)$/.test(one.title))).toEqual([]);
  });
});
