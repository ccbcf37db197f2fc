// Rows of integers, read character by character: on a desktop in less than a tenth of the time of the controller's own way,
// which spares a board its slow loops.

import type { RowReader } from '../firmware/contract/fields';

const ZERO = 48;
const COMMA = 44;
const SEMICOLON = 59;
const MOST = 4294967295;

/** As `readRow` of the contract, which tells what it takes and gives; `rows` may hold a part of a row it refuses. */
export const readRowQuickly: RowReader = (text, from, end, width, rows, row) => {
  const last = Math.min(end, text.length);
  let at = from;
  for (let column = 0; column < width; column++) {
    const first = at;
    let value = 0;
    for (; at < last; at++) {
      const digit = text.charCodeAt(at) - ZERO;
      if (!(digit >= 0 && digit <= 9)) break;
      value = value * 10 + digit;
      if (value > MOST) return -1;
    }
    const isPlain = at === first + 1 || (at > first && text.charCodeAt(first) !== ZERO);
    if (!isPlain || at >= last || text.charCodeAt(at) !== (column < width - 1 ? COMMA : SEMICOLON)) return -1;
    rows[row * width + column] = value;
    at++;
  }
  return at;
};
