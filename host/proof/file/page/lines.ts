// The lines of a proof in an HTML page, without a copy of a long text as a whole.

const OPEN = '<script type="text/plain" id="proof">';
const CLOSE = '</script>';

/** The text that these pieces make up, divided at each newline. */
export function linesIn(pieces: Iterable<string>): string[] {
  const lines = [''];
  for (const piece of pieces) {
    const [first, ...more] = piece.split('\n');
    lines[lines.length - 1] += first;
    for (const line of more) lines.push(line);
  }
  return lines;
}

/** Lines of the proof in the document of this page. */
export function linesOfPage(proof: Element): string[] {
  const pieces = Array.from(proof.childNodes, ({ nodeValue }) => nodeValue ?? '');
  // The text begins after the line break behind the tag.
  return linesIn(pieces).slice(1);
}

/** Lines of the proof in the text of another file; none if it holds no proof. */
export function linesOfFile(html: readonly string[]): string[] {
  const from = html.indexOf(OPEN) + 1;
  const to = html.findIndex((line, i) => i >= from && line.includes(CLOSE));
  if (from === 0 || to < 0) return [];
  return [...html.slice(from, to), html[to].slice(0, html[to].indexOf(CLOSE))];
}

/** The text of a file in pieces. */
export async function piecesOf(file: Blob): Promise<string[]> {
  const pieces: string[] = [];
  const reader = file.stream().pipeThrough(new TextDecoderStream()).getReader();
  for (;;) {
    const { value, done } = await reader.read();
    if (done) return pieces;
    pieces.push(value);
  }
}
