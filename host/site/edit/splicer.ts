// Where one step changes the text of a site file, and to what.
import {
  type Document,
  isCollection,
  isMap,
  isPair,
  isScalar,
  isSeq,
  type Node,
  type Pair,
  parseDocument,
  type YAMLMap,
  type YAMLSeq,
} from 'yaml';
import type { Path } from '../note';
import { knownKeys } from '../schema';
import { Refusal } from './data';
import { fieldText, flowText, itemText } from './render';
import type { Step } from './steps';

/** Text put in place of what stands from `from` to `to`. */
export interface Splice {
  from: number;
  to: number;
  text: string;
}

const OTHERWISE =
  'the file is written in a way that cannot be changed here; change it in an editor, and start the host again';

function fail(path: Path): never {
  throw new Refusal(`${path.filter((part) => typeof part === 'string').join('.')}: ${OTHERWISE}.`);
}

const startOf = (node: unknown): number => (node as Node).range![0];

/** End of what a node says, without comments and empty lines behind it. */
function endOf(node: Node): number {
  if (!isCollection(node) || node.flow) return node.range![1];
  const last = node.items[node.items.length - 1];
  const inside = isPair(last) ? ((last.value ?? last.key) as Node) : (last as Node);
  return endOf(inside);
}

export class Splicer {
  private readonly doc: Document;
  private readonly eol: string;

  constructor(private readonly text: string) {
    this.doc = parseDocument(text, { prettyErrors: false, logLevel: 'error' });
    this.eol = text.includes('\r\n') ? '\r\n' : '\n';
  }

  /** How many items or fields the list or group at a path has. */
  sizeOf(path: Path): number {
    const node = this.at(path);
    return isCollection(node) ? node.items.length : 0;
  }

  /** @throws Refusal with one sentence if the text is written in a way this does not know */
  of(step: Step): Splice {
    if (step.do === 'append') return this.append(step.path, step.value);
    const last = step.path[step.path.length - 1];
    const parent = this.at(step.path.slice(0, -1));
    if (isMap(parent)) {
      const i = parent.items.findIndex(({ key }) => isScalar(key) && key.value === last);
      if (step.do === 'drop') return this.dropField(parent, i, step.path);
      return i < 0
        ? this.newField(parent, step.path, step.value)
        : this.value(parent.items[i], step.path, step.value);
    }
    if (!isSeq(parent)) return fail(step.path);
    if (step.do === 'drop') return this.dropItem(parent, Number(last), step.path);
    return this.over(parent.items[Number(last)] as Node, step.value);
  }

  private at(path: Path): Node {
    const node = path.length === 0 ? this.doc.contents : this.doc.getIn(path, true);
    return isCollection(node) ? node : fail(path);
  }

  /** End of the line that holds an offset, before its line break. */
  private lineEnd(offset: number): number {
    const at = this.text.indexOf('\n', offset);
    if (at === -1) return this.text.length;
    return this.text[at - 1] === '\r' && at > offset ? at - 1 : at;
  }

  private lineStart(offset: number): number {
    return this.text.lastIndexOf('\n', offset - 1) + 1;
  }

  /** The blanks under which further lines of a block belong to what begins at an offset. */
  private indentOf(offset: number): string {
    return ' '.repeat(offset - this.lineStart(offset));
  }

  /** End of the last line of a block, where another line may follow. */
  private afterLine(node: Node): number {
    const end = endOf(node);
    // A text in lines of its own ends with its line break.
    return this.text[end - 1] === '\n'
      ? this.lineEnd(end - (this.text[end - 2] === '\r' ? 2 : 1))
      : this.lineEnd(end);
  }

  /** A value put over another that is no block. */
  private over(node: Node, value: unknown): Splice {
    const [from, to] = [startOf(node), endOf(node)];
    const old = this.text.slice(from, to);
    const isQuoted = /^["']/.test(old) && typeof value === 'string';
    const text = isQuoted ? JSON.stringify(value) : flowText(value);
    return { from, to, text: old.endsWith('\n') ? `${text}${this.eol}` : text };
  }

  private value(pair: Pair, path: Path, value: unknown): Splice {
    const node = pair.value as Node | null;
    const colon = this.text.indexOf(':', (pair.key as Node).range![1]);
    if (colon < 0) return fail(path);
    if (node === null || startOf(node) === endOf(node))
      return { from: colon + 1, to: colon + 1, text: ` ${flowText(value)}` };
    if (isCollection(node) && !node.flow)
      return { from: colon + 1, to: endOf(node), text: ` ${flowText(value)}` };
    return this.over(node, value);
  }

  /** Behind the field that comes before it in the reference of the site file. */
  private newField(map: YAMLMap, path: Path, value: unknown): Splice {
    const key = String(path[path.length - 1]);
    const here = path.slice(0, -1).filter((part) => typeof part === 'string');
    const order = knownKeys[here.join('.')] ?? [];
    const before = order.slice(0, Math.max(0, order.indexOf(key)));
    if (map.items.length === 0) return this.over(map, { [key]: value });
    const known = map.items.filter((pair) => isScalar(pair.key) && before.includes(String(pair.key.value)));
    const pair = known[known.length - 1] ?? map.items[map.items.length - 1];
    const last = (pair.value ?? pair.key) as Node;
    if (map.flow) return this.insert(endOf(last), `, ${key}: ${flowText(value)}`);
    const indent = this.indentOf(startOf(map.items[0].key));
    return this.insert(
      this.afterLine(last),
      `${this.eol}${indent}${fieldText(key, value, indent, this.eol)}`,
    );
  }

  private insert(at: number, text: string): Splice {
    return { from: at, to: at, text };
  }

  private dropField(map: YAMLMap, i: number, path: Path): Splice {
    const pair = map.items[i];
    if (!pair) return fail(path);
    const ends = map.items.map((one) => endOf((one.value ?? one.key) as Node));
    const starts = map.items.map(({ key }) => startOf(key));
    if (map.items.length === 1) return this.over(map, {});
    if (map.flow) return this.dropInFlow(starts, ends, i);
    return this.dropLines(starts[i], (pair.value ?? pair.key) as Node);
  }

  private dropItem(seq: YAMLSeq, i: number, path: Path): Splice {
    const node = seq.items[i] as Node | undefined;
    if (!node) return fail(path);
    if (seq.flow) {
      if (seq.items.length === 1) return { from: startOf(seq), to: endOf(seq), text: '[]' };
      const ends = seq.items.map((one) => endOf(one as Node));
      return this.dropInFlow(seq.items.map(startOf), ends, i);
    }
    if (seq.items.length === 1) return this.value(this.pairOf(path.slice(0, -1)), path, []);
    return this.dropLines(this.dashOf(node, path), node);
  }

  private pairOf(path: Path): Pair {
    const parent = this.at(path.slice(0, -1));
    const key = path[path.length - 1];
    const pair = isMap(parent) && parent.items.find((one) => isScalar(one.key) && one.key.value === key);
    return pair || fail(path);
  }

  private dropInFlow(starts: number[], ends: number[], i: number): Splice {
    return i === 0
      ? { from: starts[0], to: starts[1], text: '' }
      : { from: ends[i - 1], to: ends[i], text: '' };
  }

  /** The lines of a block; what stands before it on its first line, such as a "-", stays. */
  private dropLines(start: number, last: Node): Splice {
    const line = this.lineStart(start);
    const end = this.afterLine(last);
    if (this.text.slice(line, start).trim() !== '') return { from: start, to: end, text: '' };
    const after = this.text.indexOf('\n', end);
    return { from: line, to: after === -1 ? this.text.length : after + 1, text: '' };
  }

  /** Where the "-" of an item stands. */
  private dashOf(node: Node, path: Path): number {
    let at = startOf(node) - 1;
    while (/\s/.test(this.text[at] ?? '')) at--;
    return this.text[at] === '-' ? at : fail(path);
  }

  private append(path: Path, value: unknown): Splice {
    const seq = this.at(path);
    if (!isSeq(seq)) return fail(path);
    if (seq.items.length === 0) return this.appendFirst(seq, path, value);
    const last = seq.items[seq.items.length - 1] as Node;
    if (seq.flow) return this.insert(endOf(last), `, ${flowText(value)}`);
    const indent = this.indentOf(this.dashOf(last, path));
    const isLine = isCollection(last) && last.flow && !('luminaires' in (value as object));
    const item = isLine ? `- ${flowText(value)}` : itemText(value, indent, this.eol);
    return this.insert(this.afterLine(last), `${this.eol}${indent}${item}`);
  }

  /** Into "[]": on a line of its own where there are lines. */
  private appendFirst(seq: YAMLSeq, path: Path, value: unknown): Splice {
    const [from, to] = [startOf(seq), endOf(seq)];
    const parent = this.at(path.slice(0, -1));
    if (!isMap(parent) || parent.flow) return { from, to, text: `[${flowText(value)}]` };
    const indent = `${this.indentOf(startOf(parent.items[0].key))}  `;
    const colon = this.text.lastIndexOf(':', from);
    return { from: colon + 1, to, text: `${this.eol}${indent}- ${flowText(value)}` };
  }
}
