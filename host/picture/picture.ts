// The year of one estate, or of several one below the other, as one self-contained SVG file.
import { kindName } from '../words/codes';

import { calendarBlocks, rowsOf } from './calendar';
import { curveBlocks, DRAWN_MAX } from './curves';
import type { EstateYear, TestMark } from './data';
import { dateText } from './days';
import { type Block, picture } from './flow';
import { barMark, FAULT, failureMark, shareMark, testMark } from './marks';
import { broken, element, escaped, fitted, label } from './svg';

const LINE = 19;
const STYLE =
  'text{font:12px system-ui,"Segoe UI",Roboto,"Noto Sans",sans-serif;fill:#1b2226}' +
  `.strong{font-weight:700;font-size:14px}.small{font-size:11px}.fault{fill:${FAULT};font-weight:700}` +
  '.middle{text-anchor:middle}.end{text-anchor:end}.rule{stroke:#d3d1c8;fill:none}';
/** Letters of a line that fit. */
const LETTERS = 56;
/** Most failed luminaires named. */
const NAMED_MAX = 14;

function legendLine(place: number, mark: string, text: string): string {
  const y = 46 + place * LINE;
  return element('g', { transform: `translate(0 ${y})` }, mark) + label(28, y + 4, text);
}

function legendMarks(year: EstateYear): [string, string][] {
  const kinds = new Set(year.circuits.flatMap(({ tests }) => tests.map(({ kind }) => kind)));
  return [
    [testMark('brief', 'passed', 10, 0), 'function test, all passed'],
    [testMark('full', 'passed', 10, 0), 'duration test, all passed'],
    ...(kinds.has('limited')
      ? [
          [testMark('limited', 'passed', 10, 0), 'limited duration test (2/3), all passed'] as [
            string,
            string,
          ],
        ]
      : []),
    [testMark('brief', 'failed', 10, 0), 'function test, a luminaire failed'],
    [testMark('full', 'failed', 10, 0), 'duration test, a luminaire failed'],
    [testMark('brief', 'void', 10, 0), 'empty shape: no verdict for a luminaire'],
    [barMark('recharge', 2, -5, 18), 'batteries recharging'],
    [barMark('off', 2, 4, 18), 'supply off without a test'],
  ];
}

/** Rows with several circuits have bars instead of marks. */
function foldedMarks(size: number): [string, string][] {
  return [
    [shareMark(false, 7, 6, 8, 12), `all ${size} circuits of the row had a function test`],
    [shareMark(false, 7, 6, 8, 6), 'half of them'],
    [shareMark(true, 7, 6, 8, 6), 'half of them, including a duration test'],
    [failureMark(10, 0), 'a luminaire failed'],
    [barMark('off', 2, 4, 18), 'supply off without a test on one of them'],
  ];
}

function legend(year: EstateYear): Block {
  const size = Math.ceil(year.circuits.length / rowsOf(year.circuits).length);
  const lines = size > 1 ? foldedMarks(size) : legendMarks(year);
  const notes = ['One column is a day. Pale grey: weekend.', 'Point at a mark to see what it is.'];
  return {
    height: 46 + (lines.length + notes.length) * LINE,
    content:
      label(0, 18, 'How to read it', { class: 'strong' }) +
      lines.map(([mark, text], place) => legendLine(place, mark, text)).join('') +
      notes.map((text, i) => label(0, 50 + (lines.length + i) * LINE, text)).join(''),
  };
}

/** Each luminaire that failed, with its first failure of the year and how many followed. */
function failuresOf(
  year: EstateYear,
): { luminaire: string; circuit: string; test: TestMark; count: number }[] {
  const found = new Map<string, { luminaire: string; circuit: string; test: TestMark; count: number }>();
  for (const { name, tests } of year.circuits)
    for (const test of tests)
      for (const luminaire of test.failed) {
        const known = found.get(luminaire);
        if (known) known.count++;
        else found.set(luminaire, { luminaire, circuit: name, test, count: 1 });
      }
  return [...found.values()].sort((a, b) => a.test.day - b.test.day);
}

function failureBlock(year: EstateYear): Block {
  const failures = failuresOf(year);
  const lines = failures.slice(0, NAMED_MAX).map(({ luminaire, circuit, test, count }) => {
    const again = count > 1 ? `, ${count} times` : '';
    return fitted(
      `${dateText(test.day)}: ${luminaire} (${circuit}), ${kindName(test.kind)}${again}`,
      LETTERS,
    );
  });
  if (failures.length > NAMED_MAX) lines.push(`and ${failures.length - NAMED_MAX} more`);
  if (failures.length === 0) lines.push('No luminaire failed.');
  return {
    height: 46 + lines.length * LINE,
    content:
      label(0, 18, `Luminaires that failed: ${failures.length}`, { class: 'strong' }) +
      lines.map((text, place) => label(0, 46 + place * LINE, text)).join(''),
  };
}

function counted(year: EstateYear): string {
  const tests = year.circuits.flatMap((circuit) => circuit.tests);
  const of = (wanted: (test: TestMark) => boolean) => tests.filter(wanted).length;
  return (
    `${dateText(year.from)} to ${dateText(year.to - 1)}: ${of(({ kind }) => kind === 'brief')} function tests and ` +
    `${of(({ kind }) => kind !== 'brief')} longer tests of ${year.circuits.length} circuits, ` +
    `${of(({ outcome }) => outcome === 'failed')} with a failed luminaire, ` +
    `${of(({ outcome }) => outcome === 'void')} without a verdict for one.`
  );
}

function headBlock(year: EstateYear): Block {
  const names = broken(year.name, 32);
  const lines = broken(counted(year), LETTERS);
  return {
    height: 12 + names.length * 22 + 8 + lines.length * 17,
    content:
      names
        .map((text, i) => label(0, 18 + i * 22, text, { class: 'strong', style: 'font-size:17px' }))
        .join('') + lines.map((text, i) => label(0, 20 + names.length * 22 + i * 17, text)).join(''),
    isFirst: true,
  };
}

function blocksOf(year: EstateYear): Block[] {
  const curves = curveBlocks(year);
  const left = year.discharges.length - curves.length;
  const note = `${left} more duration tests are not drawn; those with failures come first, at most ${DRAWN_MAX}.`;
  const lines = broken(note, LETTERS).map((text, i) => label(0, 16 + i * 17, text));
  const noted = left > 0 ? [{ height: 12 + lines.length * 17, content: lines.join(''), isFirst: true }] : [];
  return [
    headBlock(year),
    legend(year),
    failureBlock(year),
    ...calendarBlocks(year).map((block, i) => ({ ...block, isFirst: i === 0 })),
    ...curves.map((block, i) => ({ ...block, isFirst: i === 0 })),
    ...noted,
  ];
}

/** The picture as the text of an SVG file. The same data gives the same text. */
export function yearPicture(years: EstateYear[]): string {
  const title = years.map(({ name }) => name).join('; ');
  const described = years.map((year) => {
    const failed = failuresOf(year).map(({ luminaire, circuit }) => `${luminaire} (${circuit})`);
    return `${year.name}. ${counted(year)} Failed: ${failed.length > 0 ? failed.join(', ') : 'none'}.`;
  });
  const head =
    element('title', { id: 'title' }, escaped(`Emergency lighting tests: ${title}`)) +
    element('desc', { id: 'desc' }, escaped(described.join(' ')));
  return picture(years.flatMap(blocksOf), head, STYLE);
}
