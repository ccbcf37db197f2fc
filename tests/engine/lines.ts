// Lines of a trace on their way to an interpreter.

/** Time of a line, ms. */
export function msOf(line: string): number {
  return Number(line.split(' ')[1]);
}

/** Received data, in hex, in pieces of at most `bytes` bytes, as a network delivers it. */
export function piecesOf(hex: string, bytes: number): string[] {
  return hex.match(new RegExp(`.{1,${2 * bytes}}`, 'g')) ?? [];
}

/** Joins lines into texts of at most `length` characters, or of one line; each line ends with a newline. */
export function joined(lines: string[], length: number): string[] {
  const found: string[] = [];
  let text = '';
  for (const line of lines) {
    if (text && text.length + line.length > length) {
      found.push(text);
      text = '';
    }
    text += `${line}\n`;
  }
  return text ? [...found, text] : found;
}
