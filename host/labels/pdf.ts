// Draws labels on sheets: the text on the left, the code on the right.
import { once } from 'node:events';
import type { Writable } from 'node:stream';
import encode from 'qr';
import { loadFonts } from '../report/pdf/fonts';
import { Paper, type PaperSize, type Tag, type Weight } from '../report/pdf/paper';
import { type Grid, placeOn } from './grid';
import type { Label } from './labels';

const POINTS_PER_MM = 72 / 25.4;
/** White around what is printed, mm: printers leave out the edge of a sheet, and sheets lie askew. */
const EDGE = 4;
/** White squares around a code (ISO/IEC 18004, 2015, 9.1, from memory). */
const QUIET = 4;
/** Most of a label's width that its code takes. */
const CODE_PART = 0.45;
/** Smallest side of a square that telephones read well, mm (common practice, no source). */
const SQUARE_MIN = 0.35;
/** Letters of the id and of the lines, points; smaller where a text is long. */
const LETTERS = { id: 13, line: 8 };
/** Part of these at which text is cut rather than made smaller still. */
const SMALLEST = 0.55;

export interface SheetsOptions {
  /** Heading of the document, for readers that do not see it. */
  title: string;
  paper: PaperSize;
  grid: Grid;
  /** Labels already taken from the first sheet. */
  skip: number;
  /** UTC second. */
  madeAt: number;
}

interface Text {
  lines: string[];
  letters: number;
  weight: Weight;
}

/** The squares of a label's code, dark where true. @throws RangeError if the address is too long for any */
const squaresOf = ({ url }: Label): boolean[][] => encode(url, 'raw', { ecc: 'medium', border: QUIET });

/** Side of the code's space, mm. */
const codeSide = ({ width, height }: Grid): number => Math.min(height - EDGE, width * CODE_PART);

/** @throws Error with one sentence if a code would be too small on these labels */
export function checkCodes(labels: readonly Label[], grid: Grid): void {
  const most = Math.max(0, ...labels.map((label) => squaresOf(label).length));
  if (codeSide(grid) / most >= SQUARE_MIN) return;
  const side = Math.ceil(most * SQUARE_MIN);
  throw new Error(
    `On labels of ${grid.width.toFixed(1)} x ${grid.height.toFixed(1)} mm the code is too small for a telephone; they need ` +
      `${Math.ceil(side / CODE_PART)} x ${side + EDGE} mm, so choose fewer columns or rows.`,
  );
}

class Sheets {
  constructor(
    private readonly paper: Paper,
    private readonly root: Tag,
    private readonly grid: Grid,
  ) {}

  draw(label: Label, place: number): void {
    const { doc } = this.paper;
    const at = placeOn(this.grid, place);
    const [x, y] = [at.x * POINTS_PER_MM, at.y * POINTS_PER_MM];
    const section = doc.struct('Sect', { title: label.id });
    this.root.add(section);
    this.text(section, label, x, y);
    const code = doc.struct('Figure', { alt: `Code that opens ${label.url}` });
    section.add(code);
    code.add(() => this.code(label, x, y));
    code.end();
    section.end();
  }

  private code(label: Label, x: number, y: number): void {
    const { width, height } = this.grid;
    const side = codeSide(this.grid);
    const squares = squaresOf(label);
    const [one, right] = [
      (side / squares.length) * POINTS_PER_MM,
      x + (width - EDGE / 2 - side) * POINTS_PER_MM,
    ];
    const top = y + ((height - side) / 2) * POINTS_PER_MM;
    const { doc } = this.paper;
    for (const [r, row] of squares.entries())
      for (let c = 0; c < row.length; c++) {
        const from = c;
        while (row[c]) c++;
        if (c > from) doc.rect(right + from * one, top + r * one, (c - from) * one, one);
      }
    // In one go: no hair of white is left between two squares.
    doc.fill('#000000');
  }

  private text(section: Tag, label: Label, x: number, y: number): void {
    const { width, height } = this.grid;
    const room = {
      width: (width - EDGE * 1.5 - codeSide(this.grid)) * POINTS_PER_MM,
      height: (height - EDGE * 2) * POINTS_PER_MM,
    };
    let top = y + EDGE * POINTS_PER_MM;
    for (const { lines, letters, weight } of this.fitted(label, room)) {
      const element = this.paper.doc.struct('P');
      section.add(element);
      element.add(() => this.paper.write(lines, x + EDGE * POINTS_PER_MM, top, letters, weight));
      element.end();
      top += lines.length * this.paper.lineHeight(letters);
    }
  }

  /** The texts of a label in the largest letters in which they fit; in the smallest, as much of them as does. */
  private fitted({ id, lines }: Label, room: { width: number; height: number }): Text[] {
    const { paper } = this;
    const height = (texts: Text[]) =>
      texts.reduce((sum, one) => sum + one.lines.length * paper.lineHeight(one.letters), 0);
    const sized = (part: number): Text[] =>
      [id, ...lines].map((text, i) => {
        const [letters, weight] = [
          part * (i === 0 ? LETTERS.id : LETTERS.line),
          i === 0 ? 'bold' : 'plain',
        ] as const;
        return { lines: paper.lines(text, room.width, letters, weight), letters, weight };
      });
    for (let part = 1; part > SMALLEST; part -= 0.05) {
      const texts = sized(part);
      if (height(texts) <= room.height) return texts;
    }
    const texts = sized(SMALLEST);
    while (height(texts) > room.height && texts.length > 1) {
      const last = texts[texts.length - 1];
      last.lines.pop();
      if (last.lines.length === 0) texts.pop();
    }
    return texts;
  }
}

/**
 * Writes labels as PDF and ends the stream.
 * @returns the number of sheets. @throws Error if the stream fails, or a font is missing
 */
export async function writeLabels(
  labels: readonly Label[],
  out: Writable,
  o: SheetsOptions,
): Promise<number> {
  const { title, madeAt, grid, skip } = o;
  const paper = new Paper({ title, subject: title, language: 'en', madeAt }, o.paper, await loadFonts());
  const ended = once(out, 'finish');
  // Whoever awaits what is written before hears of an error there; it must not be unheard until then.
  ended.catch(() => undefined);
  paper.doc.pipe(out);
  const root = paper.doc.struct('Document');
  paper.doc.addStructure(root);
  const sheets = new Sheets(paper, root, grid);
  const each = grid.columns * grid.rows;
  labels.forEach((label, i) => {
    const place = (skip + i) % each;
    if (i === 0 || place === 0) paper.newSheet();
    sheets.draw(label, place);
  });
  root.end();
  paper.end();
  await ended;
  return paper.sheets;
}
