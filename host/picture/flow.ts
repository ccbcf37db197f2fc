// Blocks of one width, laid out in as many columns as fit. The picture does this itself, by the width it is
// shown at: three columns on a desktop, two on paper, one on a phone.
import { element, short } from './svg';

export interface Block {
  height: number;
  /** Drawn from (0, 0), `WIDTH` wide. */
  content: string;
  /** Starts a new row. */
  isFirst?: boolean;
}

/** Width of a block and the gap between two, px. */
export const WIDTH = 352;
const GAP = 22;
const MARGIN = 10;
const COLUMNS = [3, 2, 1];

interface Layout {
  width: number;
  height: number;
  at: [number, number][];
}

function widthOf(columns: number): number {
  return 2 * MARGIN + columns * WIDTH + (columns - 1) * GAP;
}

/** Position of each block: left to right, each row as high as its tallest block. */
export function layOut(blocks: Block[], columns: number): Layout {
  const at: [number, number][] = [];
  let [column, top, bottom] = [0, MARGIN, MARGIN];
  for (const block of blocks) {
    if (column === columns || (block.isFirst && column > 0)) [column, top] = [0, bottom];
    at.push([MARGIN + column * (WIDTH + GAP), top]);
    bottom = Math.max(bottom, top + block.height + GAP);
    column++;
  }
  return { width: widthOf(columns), height: bottom, at };
}

function rules(layout: Layout): string {
  const moves = layout.at.map(([x, y], i) => `#b${i}{transform:translate(${short(x)}px,${short(y)}px)}`);
  return `svg{width:${layout.width}px;height:${short(layout.height)}px}${moves.join('')}`;
}

/**
 * A whole picture, as text.
 * @param head title and description; @param style rules that do not depend on the width
 */
export function picture(blocks: Block[], head: string, style: string): string {
  const [wide, ...narrower] = COLUMNS.map((columns) => layOut(blocks, columns));
  const media = narrower.map(
    (layout, i) => `@media (max-width:${widthOf(COLUMNS[i]) - 1}px){${rules(layout)}}`,
  );
  const groups = blocks.map(({ content }, i) => {
    const [x, y] = wide.at[i];
    return element('g', { id: `b${i}`, transform: `translate(${short(x)} ${short(y)})` }, content);
  });
  return `${element(
    'svg',
    {
      ...{ xmlns: 'http://www.w3.org/2000/svg', width: wide.width, height: wide.height },
      ...{ role: 'img', 'aria-labelledby': 'title', 'aria-describedby': 'desc' },
    },
    head,
    element('style', {}, style + media.join('')),
    element('rect', { width: '100%', height: '100%', fill: '#fff' }),
    ...groups,
  )}\n`;
}
