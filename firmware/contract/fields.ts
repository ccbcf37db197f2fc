// Reads numbers and names from the controller's own texts without building an object for each: JSON.parse of
// a long record would cost the board more memory than the record itself.

/** The integer after `"name":` in a flat JSON text; `missing` when it is not there. */
export function intField(text: string, name: string, missing: number): number {
  const at = text.indexOf('"' + name + '":');
  if (at < 0) return missing;
  let i = at + name.length + 3;
  const from = i;
  if (text.charAt(i) === '-') i++;
  const digits = i;
  let c = text.charCodeAt(i);
  while (c >= 48 && c <= 57) {
    i++;
    c = text.charCodeAt(i);
  }
  return i > digits ? parseInt(text.substring(from, i), 10) : missing;
}

/** The string after `"name":"`, without escapes; empty when it is not there. */
export function textField(text: string, name: string): string {
  const at = text.indexOf('"' + name + '":"');
  if (at < 0) return '';
  const from = at + name.length + 4;
  const to = text.indexOf('"', from);
  return to < 0 ? '' : text.substring(from, to);
}

/** Most characters of a number including its terminator. */
const NUMBER_LENGTH = 11;

export type RowReader = typeof readRow;

let own: RowReader | undefined;

/** Lets a platform that reads a character as fast as a number read rows (see `readRow`) by itself. */
export function useOwnRows(reader: RowReader | undefined): void {
  own = reader;
}

/**
 * Reads one row "1,2,3;" into `rows`, a flat array of `width` columns, as row number `row`.
 * @param end where the rows end in `text`.
 * @returns where the next row begins, or -1 when this is not a row of `width` integers from 0 to
 * 4,294,967,295.
 */
export function readRow(
  text: string,
  from: number,
  end: number,
  width: number,
  rows: Uint32Array,
  row: number,
): number {
  if (own !== undefined) return own(text, from, end, width, rows, row);
  const to = text.indexOf(';', from);
  if (to < 0 || to >= end || to - from > NUMBER_LENGTH * width) return -1;
  const written = text.substring(from, to);
  try {
    rows.set(JSON.parse('[' + written + ']'), row * width);
  } catch (_error) {
    return -1;
  }
  // The interpreter's number parsing is lenient, so write the parsed row back and compare it with the text,
  // character by character.
  return [].join.call(rows.subarray(row * width, (row + 1) * width), ',') === written ? to + 1 : -1;
}

/**
 * Reads rows of integers from 0 to 4,294,967,295, "1,2,3;4,5,6;", into `rows`, a flat array of `width`
 * columns. Row by row: the board takes seconds to scan a long text character by character.
 * @returns the number of rows, or -1 when the text is anything else or has more than `max` rows.
 */
export function readRows(text: string, width: number, max: number, rows: Uint32Array): number {
  let count = 0;
  let at = 0;
  while (at >= 0 && at < text.length && count < max)
    at = readRow(text, at, text.length, width, rows, count++);
  return at === text.length ? count : -1;
}
