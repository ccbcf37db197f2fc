// A report as a plain document, for whatever writes it: headings, text, tables. Tables may be longer than memory.

export interface Column {
  title: string;
  /** Width in relation to the other columns. */
  width: number;
}

/** One cell for each column. */
export interface Row {
  cells: string[];
  /** Shown in bold: what needs attention. */
  isStrong?: boolean;
}

export type Block =
  | { kind: 'title'; text: string }
  | { kind: 'heading'; level: 1 | 2; text: string }
  | { kind: 'text'; text: string }
  /** The one sentence everybody reads. */
  | { kind: 'status'; text: string; isClean: boolean }
  | { kind: 'list'; items: string[] }
  /** Names and what stands for them. */
  | { kind: 'fields'; rows: [string, string][] }
  /** Names with a line to write on. */
  | { kind: 'blanks'; names: string[] }
  | { kind: 'table'; columns: Column[]; rows: Iterable<Row> }
  /** What follows begins on a new sheet. */
  | { kind: 'sheet' }
  /** A new part, which begins on a new sheet unless much of this one is free. */
  | { kind: 'part' };

export interface ReportDocument {
  title: string;
  subject: string;
  /** BCP 47. */
  language: string;
  /** At the foot of every sheet, beside its number. */
  foot: string;
  /** UTC second it was made. */
  madeAt: number;
  blocks: AsyncIterable<Block>;
}

/** A file inside the report. */
export interface Attachment {
  name: string;
  /** MIME type. */
  type: string;
  description: string;
  /** ISO 19005-3 (2012), annex E, from memory: what it is to the sheets. */
  relationship: 'Source' | 'Data' | 'Supplement';
  data: Uint8Array;
}
