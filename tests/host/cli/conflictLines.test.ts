// Conflicts as an electrician reads them: on a terminal of 80 columns, each once.
import { describe, expect, it } from 'vitest';
import { conflictCount, linesOf } from '../../../host/cli/conflictLines';
import type { Conflict } from '../../../host/planner/plan/plan';

const ids = (letter: string, count: number) => Array.from({ length: count }, (_, i) => `${letter}${i}`);

function conflict(about: Conflict['about'], circuits: string[]): Conflict {
  return {
    ...{
      about,
      circuits,
      areas: ids('area-', circuits.length),
      rule: 'a rule (a source, 7.2)',
      from: 0,
      until: 1,
    },
    sentence: 'No night can be found for as many tests as there are words in this long sentence. '
      .repeat(3)
      .trim(),
    remedy: 'Open the test window on more days of the week (testWindows).',
  };
}

describe('the lines of conflicts', () => {
  const many = [conflict('late', ids('c', 450)), conflict('wiring', ids('d', 2))];

  it('fit on 80 columns and lose no word', () => {
    const lines = linesOf(many, true);
    expect(Math.max(...lines.map((line) => line.length))).toBeLessThanOrEqual(80);
    const text = lines.join(' ').replace(/ +/g, ' ');
    for (const { sentence, remedy, rule, circuits, areas } of many) {
      expect(text).toContain(sentence);
      expect(text).toContain(`Rule: ${rule}. What to do: ${remedy}`);
      expect(text).toContain(`Circuits: ${circuits.join(', ')} Areas: ${areas.join(', ')}`);
    }
  });

  it('put late tests and wiring under headings of their own, numbered throughout', () => {
    const lines = linesOf([...many, conflict('wiring', ['e'])], false);
    const heads = lines.filter((line) => /^(What|\d)/.test(line)).map((line) => line.slice(0, 20));
    expect(heads).toEqual([
      ...['What cannot be done ', '1.  No night can be ', 'What the wiring does', '2.  No night can be '],
      '3.  No night can be ',
    ]);
  });

  it('say how to see all circuits only where some are not named', () => {
    expect(linesOf(many, false).join()).toContain('`plan --all` names every circuit and area.');
    expect(linesOf(many, true).join()).not.toContain('--all');
    expect(linesOf(many.slice(1), false).join()).not.toContain('--all');
    expect(linesOf([], false)).toEqual([]);
  });

  it('are counted', () => {
    expect([[], many.slice(1), many].map(conflictCount)).toEqual([
      'no conflicts',
      '1 conflict',
      '2 conflicts',
    ]);
  });

  it('give a note no number and do not count it', () => {
    const all = [...many, conflict('note', ['f'])];
    expect(conflictCount(all)).toBe('2 conflicts');
    expect(conflictCount(all.slice(2))).toBe('no conflicts');
    const lines = linesOf(all, false);
    expect(lines.filter((line) => /^\d|^-/.test(line)).map((line) => line.slice(0, 5))).toEqual([
      ...['1.  N', '2.  N', '-   N'],
    ]);
    expect(lines).toContain('Good to know, no conflict:');
  });

  it('keep a word that is longer than a line', () => {
    const long = 'x'.repeat(90);
    const [, , first, second] = linesOf([{ ...many[1], sentence: `${long} ${long}` }], false);
    expect([first, second]).toEqual([`1.  ${long}`, `    ${long}`]);
  });
});
