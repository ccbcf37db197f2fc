// Numbers and names out of the controller's own texts without building an object for each:
// JSON.parse of a long record would cost the board more memory than the record itself.

/** The integer after `"name":` in a flat JSON text; `missing` where there is none. */
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

/** The string after `"name":"`, without escapes; empty where there is none. */
export function textField(text: string, name: string): string {
  const at = text.indexOf('"' + name + '":"');
  if (at < 0) return '';
  const from = at + name.length + 4;
  const to = text.indexOf('"', from);
  return to < 0 ? '' : text.substring(from, to);
}

/** Most characters of a number with what ends it. */
const NUMBER_LENGTH = 11;

/** Reads the rows; JSON.parse throws where they are not even nearly what they should be. */
function rowsOf(
  text: string,
  from: number,
  end: number,
  width: number,
  max: number,
  rows: { [index: number]: number },
): number {
  let count = 0;
  while (from < end) {
    const to = text.indexOf(';', from);
    if (to < 0 || to >= end || to - from > NUMBER_LENGTH * width || count >= max) return -1;
    const row = text.substring(from, to);
    const values: number[] = JSON.parse('[' + row + ']');
    // The interpreter overlooks much: what it has understood must be what was written.
    if (values.length !== width || values.join(',') !== row) return -1;
    for (let i = 0; i < width; i++) {
      if (values[i] >>> 0 !== values[i]) return -1;
      rows[count * width + i] = values[i];
    }
    count++;
    from = to + 1;
  }
  return count;
}

/**
 * Reads rows of integers from 0 to 4,294,967,295, "1,2,3;4,5,6;", into `rows`, a flat array of `width`
 * columns. Row by row: the board takes seconds to look at the characters of a long plan one by one.
 * @param from where the rows begin in `text`, and `end` where they end, so that nobody need copy them.
 * @returns the number of rows, or -1 when the text is anything else or has more than `max` rows.
 */
export function readRows(
  text: string,
  width: number,
  max: number,
  rows: { [index: number]: number },
  from: number = 0,
  end: number = text.length,
): number {
  try {
    return rowsOf(text, from, end, width, max, rows);
  } catch (_error) {
    return -1;
  }
}
