// docs/hazards.md: every failure has its row, every row a test that exists, every planted fault its row.
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { FAULT_KINDS } from '../../simulator/faults';

const root = fileURLToPath(new URL('../..', import.meta.url));
const text = readFileSync(join(root, 'docs/hazards.md'), 'utf8');
const rows = text
  .split('\n')
  .filter((line) => /^\| H\d/.test(line))
  .map((line) => line.slice(2, -2).split(' | '));
const ids = rows.map(([id]) => id);

describe('docs/hazards.md', () => {
  it('has rows of six filled cells, each with a number of its own, in order', () => {
    for (const row of rows)
      expect(
        row.filter((cell) => cell.trim() !== ''),
        row[0],
      ).toHaveLength(6);
    expect(ids.length).toBeGreaterThan(30);
    expect(ids).toEqual([...new Set(ids)].sort());
  });

  it('names for every row a file, and words that stand in it', () => {
    const missing = rows.filter(([, , , , , shown]) => {
      const found = /^`([^`]+)` "(.+)"$/.exec(shown);
      if (!found || !existsSync(join(root, found[1]))) return true;
      const words = found[2].replaceAll('\\"', '"');
      const file = readFileSync(join(root, found[1]), 'utf8').replace(/\s+/g, ' ').replaceAll("\\'", "'");
      return !file.includes(words);
    });
    expect(missing.map(([id, , , , , shown]) => `${id} ${shown}`)).toEqual([]);
  });

  it('has a row for every fault that the simulator can plant', () => {
    const planted = rows.map(([, failure]) => failure).join();
    expect(Object.keys(FAULT_KINDS).filter((kind) => !planted.includes(`\`${kind}\``))).toEqual([]);
  });

  it('refers from the clause titles only to rows that exist', () => {
    const referred = [...text.slice(text.indexOf('## By clause titles')).matchAll(/\bH\d\d\b/g)];
    expect(referred.map(([id]) => id).filter((id) => !ids.includes(id))).toEqual([]);
    expect(referred.length).toBeGreaterThan(20);
  });
});
