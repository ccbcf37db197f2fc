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

/** A number of 1 to 10 digits and nothing else, or -1. */
function wholeNumber(digits: string): number {
  const value = parseInt(digits, 10);
  const isPlain = value >= 0 && digits.length <= 10;
  // Leading zeros may stand; anything else that parseInt overlooks makes a difference here.
  return isPlain && ('000000000' + value).slice(-digits.length) === digits ? value : -1;
}

/**
 * Reads rows of integers, "1,2,3;4,5,6;", into `rows`, a flat array of `width` columns. Number by number:
 * the board takes seconds to look at the characters of a long plan one by one.
 * @returns the number of rows, or -1 when the text is anything else or has more than `max` rows.
 */
export function readRows(
  text: string,
  width: number,
  max: number,
  rows: { [index: number]: number },
): number {
  let count = 0;
  for (let from = 0; from < text.length; ) {
    const isLast = count % width === width - 1;
    const to = text.indexOf(isLast ? ';' : ',', from);
    const value = to > from && count < max * width ? wholeNumber(text.substring(from, to)) : -1;
    if (value < 0) return -1;
    rows[count] = value;
    count++;
    from = to + 1;
  }
  return count % width === 0 ? count / width : -1;
}
