// Writes a report as a tagged PDF/A-3: headings, paragraphs, lists and tables with heads for readers that cannot see.
import { once } from 'node:events';
import type { Writable } from 'node:stream';
import type { Attachment, Block, ReportDocument } from '../document';
import type { Turns } from '../turns';
import { loadFonts } from './fonts';
import { Paper, type PaperSize, type Tag, type Weight } from './paper';
import { drawTable } from './table';

export interface PdfOptions {
  paper: PaperSize;
  turns: Turns;
  attachments: Attachment[];
}

const LETTERS = { title: 16, status: 11, 1: 12.5, 2: 10, text: 8.5 } as const;
/** Space of a name in a list of names and what stands for them, part of the width. */
const NAME_PART = 0.28;
const BLANK_POINTS = 30;
const HEADING_ROOM = 130;
/** Share of a sheet that must be free for a new part to begin on it, and the space before it. */
const PART_ROOM = 0.4;
const PART_POINTS = 14;

class Writer {
  constructor(
    private readonly paper: Paper,
    private readonly root: Tag,
    private readonly turns: Turns,
  ) {}

  async block(block: Block): Promise<void> {
    const { paper } = this;
    switch (block.kind) {
      case 'title':
        return this.words('H1', block.text, LETTERS.title, 'bold', 6);
      case 'status':
        return this.status(block.text);
      case 'heading':
        return this.heading(block.level, block.text);
      case 'text':
        return this.words('P', block.text, LETTERS.text, 'plain', 4);
      case 'list':
        return this.list(block.items);
      case 'fields':
        return this.fields(block.rows);
      case 'blanks':
        return this.blanks(block.names);
      case 'table':
        return drawTable(paper, this.root, block, this.turns);
      case 'part':
        return this.part();
      default:
        return paper.newSheet();
    }
  }

  private words(tag: string, text: string, letters: number, weight: Weight, after: number): void {
    const { paper } = this;
    const lines = paper.lines(text, paper.width, letters, weight);
    const height = lines.length * paper.lineHeight(letters);
    paper.need(height + after);
    this.tagged(tag, () => paper.write(lines, paper.left, paper.y, letters, weight));
    paper.y += height + after;
  }

  private tagged(tag: string, draw: () => void): void {
    const element = this.paper.doc.struct(tag);
    this.root.add(element);
    element.add(draw);
    element.end();
  }

  private heading(level: 1 | 2, text: string): void {
    // With room for something under it: the heads of a table and a row or two.
    this.paper.need(HEADING_ROOM);
    this.paper.y += level === 1 ? 10 : 6;
    this.words(level === 1 ? 'H2' : 'H3', text, LETTERS[level], 'bold', 3);
  }

  private part(): void {
    const { paper } = this;
    if (paper.room < paper.fullRoom * PART_ROOM) paper.newSheet();
    else paper.y += PART_POINTS;
  }

  private status(text: string): void {
    const { paper } = this;
    const lines = paper.lines(text, paper.width - 16, LETTERS.status, 'bold');
    const height = lines.length * paper.lineHeight(LETTERS.status) + 12;
    paper.need(height + 8);
    paper.artifact(() => {
      paper.doc.lineWidth(1.2).strokeColor('#000000').rect(paper.left, paper.y, paper.width, height).stroke();
    });
    this.tagged('P', () => paper.write(lines, paper.left + 8, paper.y + 6, LETTERS.status, 'bold'));
    paper.y += height + 8;
  }

  private list(items: readonly string[]): void {
    const { paper } = this;
    const list = paper.doc.struct('L');
    this.root.add(list);
    for (const item of items) {
      const lines = paper.lines(item, paper.width - 14, LETTERS.text, 'plain');
      const height = lines.length * paper.lineHeight(LETTERS.text);
      paper.need(height + 3);
      const element = paper.doc.struct('LI');
      list.add(element);
      for (const [tag, x, text] of [
        ['Lbl', 2, ['•']],
        ['LBody', 14, lines],
      ] as const) {
        const part = paper.doc.struct(tag);
        element.add(part);
        part.add(() => paper.write(text, paper.left + x, paper.y, LETTERS.text, 'plain'));
        part.end();
      }
      element.end();
      paper.y += height + 3;
    }
    list.end();
  }

  /** A table of two columns whose heads are in the first. */
  private fields(rows: readonly [string, string][]): void {
    const { paper } = this;
    const table = paper.doc.struct('Table');
    this.root.add(table);
    const wide = paper.width * NAME_PART;
    for (const [name, value] of rows) {
      const cells = [
        { tag: 'TH', x: 0, weight: 'bold', lines: paper.lines(name, wide - 8, LETTERS.text, 'bold') },
        {
          tag: 'TD',
          x: wide,
          weight: 'plain',
          lines: paper.lines(value, paper.width - wide, LETTERS.text, 'plain'),
        },
      ] as const;
      const height = Math.max(...cells.map(({ lines }) => lines.length)) * paper.lineHeight(LETTERS.text);
      paper.need(height + 3);
      const row = paper.doc.struct('TR');
      table.add(row);
      for (const { tag, x, weight, lines } of cells) {
        const cell = paper.doc.struct(tag, tag === 'TH' ? ({ scope: 'Row' } as object) : {});
        row.add(cell);
        cell.add(() => paper.write(lines, paper.left + x, paper.y, LETTERS.text, weight));
        cell.end();
      }
      row.end();
      paper.y += height + 3;
    }
    table.end();
    paper.y += 4;
  }

  private blanks(names: readonly string[]): void {
    const { paper } = this;
    for (const name of names) {
      paper.need(BLANK_POINTS);
      const y = paper.y + BLANK_POINTS - paper.lineHeight(LETTERS.text);
      this.tagged('P', () => paper.write([name], paper.left, y, LETTERS.text, 'plain'));
      paper.rule(y + LETTERS.text + 2, paper.left + 70, paper.width * 0.6);
      paper.y += BLANK_POINTS;
    }
  }
}

/**
 * Writes a report as PDF and ends the stream.
 * @throws Error if the stream fails, or a font is missing
 */
export async function writePdf(report: ReportDocument, out: Writable, o: PdfOptions): Promise<void> {
  const paper = new Paper(report, o.paper, await loadFonts());
  const ended = once(out, 'finish');
  // Whoever awaits what is written before hears of an error there; it must not be unheard until then.
  ended.catch(() => undefined);
  paper.doc.pipe(out);
  const root = paper.doc.struct('Document');
  paper.doc.addStructure(root);
  const writer = new Writer(paper, root, o.turns);
  paper.newSheet();
  for await (const block of report.blocks) {
    await writer.block(block);
    const others = o.turns();
    if (others) await others;
  }
  const made = new Date(report.madeAt * 1000);
  for (const { data, ...more } of o.attachments)
    paper.doc.file(Buffer.from(data), { ...more, creationDate: made, modifiedDate: made });
  root.end();
  paper.end();
  await ended;
}
