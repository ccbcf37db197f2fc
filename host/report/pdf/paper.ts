// The sheets of a PDF: where the next line goes, what stands at the foot, and the tags by which a screen reader finds
// its way. Sheets leave memory as they are finished; "of how many" is filled in at the end, in one place that all
// sheets show.
import PDFDocument from 'pdfkit';
import type { ReportDocument } from '../document';
import { type FontFiles, visibleText } from './fonts';
import { linesOf, type Measure, remembering } from './wrap';

export type PaperSize = 'a4' | 'letter';

/** Margins, height of a line in relation to its letters, space for the foot; points. */
const MARGIN = 42;
const LINE = 1.28;
const FOOT = 30;
const FOOT_LETTERS = 6.5;
/** Sheets after which what is known of words is thrown away. */
const FORGET_SHEETS = 40;
const INK = '#000000';
const GREY = '#555555';

export type Weight = 'plain' | 'bold';

/** By these the library finds fonts it has opened: the first is its own name, because it was opened without one. */
const NAMES: Record<Weight, string> = { plain: 'DejaVuSans', bold: 'DejaVuSans-Bold' };

/** Parts of the library that its types leave out. */
interface Inner {
  _font: {
    encode(text: string): [string[], unknown];
    ref(): unknown;
    id: string;
    layoutCache: object;
  };
  _root: { data: Record<string, unknown> };
  addContent(text: string): void;
  page: { xobjects: Record<string, unknown> };
  ref(data: object): { data: Record<string, unknown>; end(text?: string): void };
}

interface FontInside {
  hasGlyphForCodePoint(codePoint: number): boolean;
}

export type Tag = PDFKit.PDFStructureElement;

export class Paper {
  readonly doc: PDFKit.PDFDocument;
  /** Distance of the next line from the top of the sheet, points. */
  y = MARGIN;
  sheets = 0;
  private readonly measures: Record<Weight, Map<number, Measure>> = { plain: new Map(), bold: new Map() };
  private readonly total: ReturnType<Inner['ref']>;
  private readonly hasGlyph: (codePoint: number) => boolean;
  private readonly seen = new Map<number, boolean>();

  constructor(
    private readonly about: Omit<ReportDocument, 'blocks' | 'foot'> & Partial<Pick<ReportDocument, 'foot'>>,
    size: PaperSize,
    fonts: FontFiles,
  ) {
    const made = new Date(about.madeAt * 1000);
    this.doc = new PDFDocument({
      ...{ size: size === 'a4' ? 'A4' : 'LETTER', margin: 0, autoFirstPage: false, bufferPages: false },
      ...{ pdfVersion: '1.7', subset: 'PDF/A-3a', tagged: true, lang: about.language, displayTitle: true },
      // Without a font of its own here, the library would set up one that it may not embed.
      font: Buffer.from(fonts.plain) as unknown as string,
      info: {
        ...{ Title: about.title, Subject: about.subject, Author: 'Nightproof', Creator: 'Nightproof' },
        ...{ Producer: 'Nightproof', CreationDate: made, ModDate: made },
      },
    });
    this.doc.registerFont(NAMES.bold, Buffer.from(fonts.bold) as unknown as string);
    this.hasGlyph = this.glyphs();
    this.total = this.newTotal();
  }

  get width(): number {
    return this.doc.page.width - 2 * MARGIN;
  }

  get left(): number {
    return MARGIN;
  }

  /** Points left on this sheet. */
  get room(): number {
    return this.doc.page.height - MARGIN - FOOT - this.y;
  }

  /** Points of an empty sheet. */
  get fullRoom(): number {
    return this.doc.page.height - 2 * MARGIN - FOOT;
  }

  lineHeight(letters: number): number {
    return letters * LINE;
  }

  visible(text: string): string {
    return visibleText(text, this.hasGlyph);
  }

  lines(text: string, width: number, letters: number, weight: Weight): string[] {
    const measures = this.measures[weight];
    let measure = measures.get(letters);
    if (!measure) {
      measure = remembering((word) => this.doc.font(NAMES[weight], letters).widthOfString(word));
      measures.set(letters, measure);
    }
    return linesOf(this.visible(text), width, measure);
  }

  /** Lines at a place, without moving on. */
  write(lines: readonly string[], x: number, y: number, letters: number, weight: Weight): void {
    this.doc.font(NAMES[weight], letters).fillColor(INK);
    lines.forEach((line, i) => {
      this.doc.text(line, x, y + i * this.lineHeight(letters), { lineBreak: false });
    });
  }

  /** A line across, no part of the text. */
  rule(y: number, x = MARGIN, width = this.width, colour = GREY): void {
    this.artifact(() => {
      this.doc
        .lineWidth(0.5)
        .strokeColor(colour)
        .moveTo(x, y)
        .lineTo(x + width, y)
        .stroke();
    });
  }

  artifact(draw: () => void, options: object = { type: 'Layout' }): void {
    this.doc.markContent('Artifact', options as PDFKit.Mixins.MarkingOptions);
    draw();
    this.doc.endMarkedContent();
  }

  newSheet(): void {
    this.doc.addPage();
    this.sheets++;
    if (this.sheets % FORGET_SHEETS === 0) this.forget();
    this.y = MARGIN;
    const { foot } = this.about;
    if (foot !== undefined)
      this.artifact(() => this.foot(foot), { type: 'Pagination', attached: ['Bottom'] });
  }

  /** Begins a new sheet unless this one has room. */
  need(points: number): void {
    if (this.sheets === 0 || this.room < points) this.newSheet();
  }

  end(): void {
    const { _font } = this.doc.font(NAMES.plain, FOOT_LETTERS) as unknown as Inner;
    const [glyphs] = _font.encode(String(this.sheets));
    this.total.data.Resources = { Font: { [_font.id]: _font.ref() } };
    this.total.end(`BT /${_font.id} ${FOOT_LETTERS} Tf 0 0 Td <${glyphs.join('')}> Tj ET`);
    this.doc.end();
  }

  private foot(text: string): void {
    const y = this.doc.page.height - MARGIN - FOOT_LETTERS;
    const label = `Page ${this.sheets} of `;
    this.doc.font(NAMES.plain, FOOT_LETTERS).fillColor(GREY);
    const right = this.doc.page.width - MARGIN - 20;
    const x = right - this.doc.widthOfString(label);
    const room = x - MARGIN - 10;
    const lines = this.lines(text, room, FOOT_LETTERS, 'plain').slice(0, 2);
    this.doc.font(NAMES.plain, FOOT_LETTERS).fillColor(GREY);
    lines.forEach((line, i) => {
      this.doc.text(line, MARGIN, y - (lines.length - 1 - i) * 9, { lineBreak: false });
    });
    this.doc.text(label, x, y, { lineBreak: false });
    const inner = this.doc as unknown as Inner;
    inner.page.xobjects.Total = this.total;
    const baseline = y + (FOOT_LETTERS * 1901) / 2048;
    inner.addContent(`q 1 0 0 -1 ${right.toFixed(2)} ${baseline.toFixed(2)} cm /Total Do Q`);
  }

  /** The library keeps the glyphs of every word it ever set; of a large building that is most of the memory. */
  private forget(): void {
    for (const name of Object.values(NAMES))
      (this.doc.font(name) as unknown as Inner)._font.layoutCache = Object.create(null);
  }

  private newTotal(): ReturnType<Inner['ref']> {
    return (this.doc as unknown as Inner).ref({
      ...{ Type: 'XObject', Subtype: 'Form', FormType: 1, BBox: [-1, -3, 40, 10] },
    });
  }

  private glyphs(): (codePoint: number) => boolean {
    const fontOf = (weight: Weight): FontInside =>
      (this.doc.font(NAMES[weight]) as unknown as { _font: { font: FontInside } })._font.font;
    const both = [fontOf('plain'), fontOf('bold')];
    return (codePoint) => {
      let has = this.seen.get(codePoint);
      if (has === undefined) {
        has = both.every((font) => font.hasGlyphForCodePoint(codePoint));
        this.seen.set(codePoint, has);
      }
      return has;
    };
  }
}
