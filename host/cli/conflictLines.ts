// The conflicts of a plan as lines for a person at a terminal.
import { isCut } from '../planner/conflicts/conflictWords';
import type { Conflict } from '../planner/plan/plan';

/** Columns of the narrowest terminal in use. */
const WIDTH = 80;

/** A text on lines that fit the terminal: the first begins with `first`, the others with `rest`. */
function wrapped(text: string, first: string, rest: string): string[] {
  const lines: string[] = [];
  let line = first;
  let isBare = true;
  for (const word of text.split(' ')) {
    if (!isBare && line.length + 1 + word.length > WIDTH) {
      lines.push(line);
      [line, isBare] = [rest, true];
    }
    line += isBare ? word : ` ${word}`;
    isBare = false;
  }
  return [...lines, line];
}

function conflictLines(conflict: Conflict, mark: string, isAll: boolean): string[] {
  const { sentence, rule, remedy, circuits, areas } = conflict;
  const parts = [
    `Rule: ${rule}.`,
    `What to do: ${remedy}`,
    ...(isAll ? [`Circuits: ${circuits.join(', ')}`, `Areas: ${areas.join(', ')}`] : []),
  ];
  return [
    ...wrapped(sentence, mark.padEnd(4), '    '),
    ...parts.flatMap((part) => wrapped(part, '    ', '      ')),
    '',
  ];
}

const HEADS: Record<Conflict['about'], string> = {
  late: 'What cannot be done in time:',
  wiring: 'What the wiring does not allow in any night:',
  note: 'Good to know, no conflict:',
};

/**
 * Conflicts with their rules and what to do, first those of late tests.
 * @param isAll names every circuit and area
 */
export function linesOf(conflicts: Conflict[], isAll: boolean): string[] {
  const lines: string[] = [];
  let about = '';
  for (const [i, conflict] of conflicts.entries()) {
    if (conflict.about !== about) lines.push(HEADS[conflict.about], '');
    about = conflict.about;
    lines.push(...conflictLines(conflict, about === 'note' ? '-' : `${i + 1}.`, isAll));
  }
  if (!isAll && conflicts.some(({ circuits }) => isCut(circuits)))
    lines.push('`plan --all` names every circuit and area.', '');
  return lines;
}

/** "1 conflict", "no conflicts"; what asks for nothing is none. */
export function conflictCount(conflicts: Conflict[]): string {
  const { length } = conflicts.filter(({ about }) => about !== 'note');
  return `${length === 0 ? 'no' : length} conflict${length === 1 ? '' : 's'}`;
}
