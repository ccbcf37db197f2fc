// A code for cameras, drawn in a terminal.
import encode from 'qr';

/** Two rows of modules to a line, so that it fits on a screen of 24 lines, in black and white whatever the terminal's colours. */
export function cameraCode(text: string): string {
  const rows = encode(text, 'raw', { border: 2, ecc: 'low' });
  const lines: string[] = [];
  for (let y = 0; y < rows.length; y += 2) {
    const line = rows[y].map((top, x) => {
      const bottom = rows[y + 1]?.[x] ?? false;
      return `\x1b[${top ? 30 : 97};${bottom ? 40 : 107}m▀`;
    });
    lines.push(`${line.join('')}\x1b[0m\n`);
  }
  return lines.join('');
}
