// Known changes to the text of a proof, drawn at random, as bytes: a flipped bit need not leave any text.
import type { Draw } from '../../logbook/verify/mutate';

/** Text of the proof, and of one made from the same log book earlier. */
export interface Texts {
  text: string;
  older: string;
}

const bytesOf = (text: string): Buffer => Buffer.from(text, 'utf8');
const linesOf = (text: string): string[] => text.split('\n').slice(0, -1);
const textOf = (lines: readonly string[]): string => lines.map((line) => `${line}\n`).join('');

/** Parts of a text, each from a line that begins with == up to the next. */
function sections(text: string): string[] {
  return text.split(/^(?=== )/m);
}

const KINDS: Record<string, (texts: Texts, draw: Draw) => string | Buffer> = {
  changed({ text }, draw) {
    const at = draw(text.length);
    const other = String.fromCharCode(33 + draw(94));
    return text.slice(0, at) + other + text.slice(at + 1);
  },
  removed({ text }, draw) {
    const lines = linesOf(text);
    return textOf(lines.toSpliced(draw(lines.length), 1 + draw(3)));
  },
  inserted({ text, older }, draw) {
    const [lines, others] = [linesOf(text), linesOf(older)];
    return textOf(lines.toSpliced(draw(lines.length + 1), 0, others[draw(others.length)]));
  },
  doubled({ text }, draw) {
    const lines = linesOf(text);
    const at = draw(lines.length);
    return textOf(lines.toSpliced(at, 0, lines[at]));
  },
  reordered({ text }, draw) {
    const lines = linesOf(text);
    const [a, b] = [draw(lines.length), draw(lines.length)];
    return textOf(lines.with(a, lines[b]).with(b, lines[a]));
  },
  'records exchanged'({ text }, draw) {
    const lines = linesOf(text);
    const from = lines.indexOf('== entries') + 1;
    const count = lines.indexOf('== signature') - from;
    const [a, b] = [from + draw(count), from + draw(count)];
    const [numberA, dataA] = lines[a].split(' ');
    const [numberB, dataB] = lines[b].split(' ');
    return textOf(lines.with(a, `${numberA} ${dataB}`).with(b, `${numberB} ${dataA}`));
  },
  truncated: ({ text }, draw) => text.slice(0, draw(text.length)),
  'bit flipped'({ text }, draw) {
    const bytes = bytesOf(text);
    bytes[draw(bytes.length)] ^= 1 << draw(8);
    return bytes;
  },
  'partly rolled back'({ text, older }, draw) {
    const [now, then] = [sections(text), sections(older)];
    return now.map((part, i) => (draw(2) === 1 ? then[i] : part)).join('');
  },
};

export const PROOF_MUTATIONS = Object.keys(KINDS);

/** A changed text; never the text itself or the earlier one, which both hold. */
export function mutateProof(kind: string, texts: Texts, draw: Draw): Buffer {
  const untouched = [bytesOf(texts.text), bytesOf(texts.older)];
  for (;;) {
    const made = KINDS[kind](texts, draw);
    const bytes = typeof made === 'string' ? bytesOf(made) : made;
    if (!untouched.some((other) => other.equals(bytes))) return bytes;
  }
}
