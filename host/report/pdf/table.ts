// Tables over any number of sheets, row by row; the heads stand again on every sheet.
import type { Column, Row } from '../document';
import type { Turns } from '../turns';
import type { Paper, Tag, Weight } from './paper';

const LETTERS = 7;
/** Space beside the text of a cell, and above and below, points. */
const SIDE = 3;
const ABOVE = 2;

interface Place {
  x: number;
  width: number;
}

function placesOf(paper: Paper, columns: readonly Column[]): Place[] {
  const all = columns.reduce((sum, { width }) => sum + width, 0);
  let x = paper.left;
  return columns.map(({ width }) => {
    const place = { x, width: (paper.width * width) / all };
    x += place.width;
    return place;
  });
}

class Table {
  private readonly places: Place[];

  constructor(
    private readonly paper: Paper,
    private readonly element: Tag,
    private readonly columns: readonly Column[],
  ) {
    this.places = placesOf(paper, columns);
  }

  private linesOf(cells: readonly string[], weight: Weight): string[][] {
    return cells.map((text, i) => this.paper.lines(text, this.places[i].width - 2 * SIDE, LETTERS, weight));
  }

  private heightOf(lines: readonly string[][]): number {
    return Math.max(...lines.map(({ length }) => length)) * this.paper.lineHeight(LETTERS) + 2 * ABOVE;
  }

  /** Heads: tagged the first time, then only drawn. */
  heads(isFirst: boolean): void {
    const { paper } = this;
    const lines = this.linesOf(
      this.columns.map(({ title }) => title),
      'bold',
    );
    const height = this.heightOf(lines);
    if (isFirst) {
      paper.need(height + 60);
      this.row(lines, 'bold', 'TH');
    } else paper.artifact(() => this.draw(lines, 'bold'));
    paper.y += height;
    paper.rule(paper.y);
  }

  /** A row, over several sheets if it is higher than one. */
  body({ cells, isStrong = false }: Row): void {
    const { paper } = this;
    const weight = isStrong ? 'bold' : 'plain';
    let rest = this.linesOf(cells, weight);
    const highest = Math.floor((paper.fullRoom - 60) / paper.lineHeight(LETTERS));
    do {
      const now = rest.map((lines) => lines.slice(0, highest));
      rest = rest.map((lines) => lines.slice(highest));
      const height = this.heightOf(now);
      if (paper.room < height) {
        paper.newSheet();
        this.heads(false);
      }
      this.row(now, weight, 'TD');
      paper.y += height;
      paper.rule(paper.y, paper.left, paper.width, '#bbbbbb');
    } while (rest.some(({ length }) => length > 0));
  }

  private draw(lines: readonly string[][], weight: Weight): void {
    for (const [i, text] of lines.entries()) this.cell(text, i, weight);
  }

  private cell(text: readonly string[], i: number, weight: Weight): void {
    const { paper } = this;
    paper.write(text, this.places[i].x + SIDE, paper.y + ABOVE, LETTERS, weight);
  }

  private row(lines: readonly string[][], weight: Weight, tag: 'TH' | 'TD'): void {
    const { doc } = this.paper;
    const row = doc.struct('TR');
    this.element.add(row);
    lines.forEach((text, i) => {
      const cell = doc.struct(tag, tag === 'TH' ? ({ scope: 'Column' } as object) : {});
      row.add(cell);
      cell.add(() => this.cell(text, i, weight));
      cell.end();
    });
    row.end();
  }
}

/** Draws a table under what stands there. */
export async function drawTable(
  paper: Paper,
  parent: Tag,
  { columns, rows }: { columns: Column[]; rows: Iterable<Row> },
  turns: Turns,
): Promise<void> {
  const element = paper.doc.struct('Table');
  parent.add(element);
  const table = new Table(paper, element, columns);
  table.heads(true);
  for (const row of rows) {
    table.body(row);
    const others = turns();
    if (others) await others;
  }
  element.end();
  paper.y += 6;
}
