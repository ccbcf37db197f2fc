// docs/asvs.md and docs/etsi.md: every requirement has its row, every row that is met names words that exist.
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { ASVS } from './asvsNumbers';

const root = join(import.meta.dirname, '../..');
const MET = ['yes', 'in part', 'no', 'not applicable'];

/** How many provisions each clause has (ETSI EN 303 645 V3.1.3, table B.1, from a public copy of it). */
const PROVISIONS: Record<string, number> = {
  ...{ '5.0': 1, '5.1': 6, '5.2': 3, '5.3': 19, '5.4': 4, '5.5': 8, '5.6': 10, '5.7': 2, '5.8': 3, '5.9': 3 },
  ...{ '5.10': 1, '5.11': 4, '5.12': 3, '5.13': 2, '6': 9 },
};

interface Row {
  number: string;
  level: string;
  met: string;
  here: string;
  shown: string;
}

function readTable(file: string): { text: string; rows: Row[] } {
  const text = readFileSync(join(root, file), 'utf8').replace(/\s*\n(?![|#\n])/g, ' ');
  const rows = text
    .split('\n')
    .filter((line) => /^\| \d/.test(line))
    .map((line) => {
      const [number, level, , met, here, shown] = line.trim().slice(2, -2).split(' | ');
      return { number, level, met, here, shown };
    });
  return { text, rows };
}

/** Why what a row names shows nothing; '' if it is there. */
function missing({ met, here, shown }: Row): string {
  if (!MET.includes(met)) return `"${met}" is none of ${MET.join(', ')}`;
  if (here.length < 3) return 'no reason';
  if (met === 'no' || met === 'not applicable') return shown === '—' ? '' : 'shows what is not met';
  // Several are separated by a comma.
  return (
    shown
      .split(/(?<="), (?=`)/)
      .map(missingIn)
      .find((why) => why !== '') ?? ''
  );
}

/** The same of one file with the words in it. */
function missingIn(named: string): string {
  const [, file = '', words = ''] = /^`([^`]+)` "(.+)"$/.exec(named) ?? [];
  if (!existsSync(join(root, file)) || file === '') return `no file ${file}`;
  const found = readFileSync(join(root, file), 'utf8').replace(/\s+/g, ' ').replaceAll("\\'", "'");
  return found.includes(words) ? '' : `${file} has no "${words}"`;
}

describe.each(['docs/asvs.md', 'docs/etsi.md'])('%s', (file) => {
  const { text, rows } = readTable(file);

  it('names for every row that is met words that stand in a file, and for every other a reason', () => {
    const wrong = rows.map((row) => [row.number, missing(row)]).filter(([, why]) => why !== '');
    expect(wrong).toEqual([]);
  });

  it('counts its rows as they are', () => {
    const count = (met: string) => rows.filter((row) => row.met === met).length;
    const [yes, part, no, none] = MET.map(count);
    expect(text).toContain(`${yes} are met, ${part} in part, ${no} not, and ${none} do not apply`);
  });
});

it('docs/asvs.md has every requirement of levels 1 and 2 once, in order', () => {
  const { rows } = readTable('docs/asvs.md');
  expect(rows.map(({ number, level }) => [number, level])).toEqual(ASVS);
  expect(ASVS).toHaveLength(253);
});

it('docs/etsi.md has every provision once', () => {
  const numbers = readTable('docs/etsi.md').rows.map(({ number }) => number);
  expect(new Set(numbers).size).toBe(numbers.length);
  const counts: Record<string, number> = {};
  for (const [clause] of numbers.map((number) => number.split('-')))
    counts[clause] = (counts[clause] ?? 0) + 1;
  expect(counts).toEqual(PROVISIONS);
});
