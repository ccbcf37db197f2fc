// Cells of a table as text, harmless for spreadsheets: one that begins with a sign of a formula gets an apostrophe.

/**
 * What a spreadsheet may take for a formula, also after blanks and with the wide signs of East Asia (OWASP, CSV Injection),
 * or what already has apostrophes before that.
 */
const FORMULA = /^'*\s*[=+\-@\t\r\n＝＋－＠]/u;

/** The cell as it stands in a file of comma-separated values (RFC 4180, 2005: quotes where needed). */
export function cellText(value: string | number): string {
  const text = String(value);
  const harmless = FORMULA.test(text) ? `'${text}` : text;
  return /[",;\r\n\t']/.test(harmless) ? `"${harmless.replaceAll('"', '""')}"` : harmless;
}

/** A table with commas and CRLF. */
export function tableText(rows: (string | number)[][]): string {
  return rows.map((row) => `${row.map(cellText).join(',')}\r\n`).join('');
}

/** The text of a cell before it was made harmless. */
export function plainCell(text: string): string {
  return text.startsWith("'") && FORMULA.test(text) ? text.slice(1) : text;
}

/** The cell as it stands in a workbook, where a text is never taken for a formula: `plainCell` gives it back. */
export function workbookCell(value: string | number): string | number {
  return typeof value === 'string' && plainCell(value) !== value ? `'${value}` : value;
}

/** A text for a comment or a line that is told: names of files, floors and columns may hold anything. */
export function onOneLine(text: string): string {
  return text.replace(/[\p{Cc}\u2028-\u202e\u2066-\u2069]+/gu, ' ');
}
