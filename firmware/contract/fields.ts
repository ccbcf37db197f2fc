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

/**
 * Reads rows of integers, "1,2,3;4,5,6;", into `rows`, a flat array of `width` columns.
 * @returns the number of rows, or -1 when the text is anything else or has more than `max` rows.
 */
export function readRows(
  text: string,
  width: number,
  max: number,
  rows: { [index: number]: number },
): number {
  let n = 0;
  let column = 0;
  let value = 0;
  let digits = 0;
  for (let i = 0; i < text.length; i++) {
    const c = text.charCodeAt(i);
    if (c >= 48 && c <= 57 && digits < 10) {
      value = value * 10 + (c - 48);
      digits++;
    } else if ((c === 44 || c === 59) && digits > 0) {
      if (n >= max) return -1;
      rows[n * width + column] = value;
      column++;
      value = 0;
      digits = 0;
      if (c === 59) {
        if (column !== width) return -1;
        n++;
        column = 0;
      } else if (column >= width) return -1;
    } else return -1;
  }
  return column === 0 && digits === 0 ? n : -1;
}
