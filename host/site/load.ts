import { readFileSync } from 'node:fs';
import { type Document, isMap, isNode, isPair, isScalar, LineCounter, parseDocument } from 'yaml';
import type { z } from 'zod';
import { crossCheck } from './crossChecks';
import type { Site } from './model';
import { nearest } from './nearest';
import type { Path } from './note';
import { plainData } from './plainYaml';
import { resolveSite } from './resolve';
import { knownKeys, siteFile } from './schema';

/** One mistake in a site file. */
export interface Mistake {
  file: string;
  /** Counted from 1; 0 if the file could not be read at all. */
  line: number;
  /** E.g. `circuits[ground-a].luminaires[GA-03].mode`, '' for the file as a whole. */
  field: string;
  /** One sentence: what is wrong and what to write. */
  message: string;
}

/** The mistake as one line, "file:line: field: message". */
export function formatMistake(mistake: Mistake): string {
  const place = mistake.line > 0 ? `${mistake.file}:${mistake.line}` : mistake.file;
  return mistake.field ? `${place}: ${mistake.field}: ${mistake.message}` : `${place}: ${mistake.message}`;
}

/** Reads a site file. Never throws, whatever is wrong with the file. */
export function loadSite(file: string): { site: Site } | { mistakes: Mistake[] } {
  let text: string;
  try {
    text = readFileSync(file, 'utf8');
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code;
    const why = code === 'ENOENT' ? 'there is no such file' : `the file cannot be read (${code})`;
    const message = `${why}; write the path of a site file, e.g. docs/examples/museum-of-tides.yaml.`;
    return { mistakes: [{ file, line: 0, field: '', message }] };
  }
  return parseSite(text, file);
}

/** The site in a large file without mistakes; undefined where there may be some to tell. */
function plainSite(text: string): Site | undefined {
  const parsed = siteFile.safeParse(plainData(text));
  if (!parsed.success) return undefined;
  let isRight = true;
  crossCheck(parsed.data, () => {
    isRight = false;
  });
  return isRight ? resolveSite(parsed.data) : undefined;
}

/** Checks the text of a site file; `file` is the name used in messages. */
export function parseSite(text: string, file: string): { site: Site } | { mistakes: Mistake[] } {
  const site = plainSite(text);
  if (site) return { site };
  const lines = new LineCounter();
  const doc = parseDocument(text, { lineCounter: lines, prettyErrors: false, logLevel: 'error' });
  const mistakes: Mistake[] = doc.errors.map((error) => ({
    file,
    line: lines.linePos(error.pos[0]).line,
    field: '',
    message: `this is not valid YAML: ${sentence(yamlWords(error.message))}`,
  }));
  if (mistakes.length > 0) return { mistakes };
  const note = (path: Path, message: string, key?: string) => {
    const field = fieldName(doc, key === undefined ? path : [...path, key]);
    mistakes.push({ file, line: lineOf(doc, lines, path, key), field, message: sentence(message) });
  };
  let data: unknown;
  try {
    data = doc.toJS();
  } catch (error) {
    note([], `this YAML cannot be expanded: ${(error as Error).message}`);
    return { mistakes };
  }
  const parsed = siteFile.safeParse(data);
  if (parsed.success) crossCheck(parsed.data, note);
  else for (const issue of parsed.error.issues) noteIssue(issue, data, note);
  mistakes.sort((a, b) => a.line - b.line);
  return mistakes.length > 0 || !parsed.success ? { mistakes } : { site: resolveSite(parsed.data) };
}

function noteIssue(
  issue: z.core.$ZodIssue,
  data: unknown,
  note: (path: Path, message: string, key?: string) => void,
): void {
  const path = issue.path as Path;
  if (issue.code === 'unrecognized_keys') {
    const known = knownKeys[path.filter((part) => typeof part === 'string').join('.')] ?? [];
    for (const key of issue.keys) {
      const near = nearest(key, known);
      const hint = near ? `did you mean "${near}"?` : `the fields here are: ${known.join(', ')}`;
      note(path, `there is no field "${key}" here; ${hint}`, key);
    }
    return;
  }
  const value = path.reduce<unknown>((at, part) => (at as Record<string | number, unknown>)?.[part], data);
  if (value === undefined && path.length > 0) note(path, `is missing; it ${issue.message}`);
  else note(path, `${issue.message}, but is ${shown(value)}`);
}

function shown(value: unknown): string {
  if (value === null || value === undefined) return 'empty';
  if (Array.isArray(value)) return value.length === 0 ? 'an empty list' : 'a list';
  if (typeof value === 'object') return 'a group of fields';
  const text = JSON.stringify(value);
  return text.length > 40 ? `${text.slice(0, 37)}..."` : text;
}

/** The parser may quote all the rest of the file. */
const SENTENCE_MAX = 200;

/** What the parser found wrong, as far as it is worth reading. */
function yamlWords(message: string): string {
  return message.length > SENTENCE_MAX ? `${message.slice(0, SENTENCE_MAX)} ...` : message;
}

/** One line with a full stop at the end. */
function sentence(message: string): string {
  const line = message.replace(/\s*\n\s*/g, ' ').trim();
  return /[.?!]$/.test(line) ? line : `${line}.`;
}

/** Line of a key in a group, of the value at a path, or of what should contain it. */
function lineOf(doc: Document, lines: LineCounter, path: Path, key?: string): number {
  for (let length = path.length; length >= 0; length--) {
    const node = length === 0 ? doc.contents : doc.getIn(path.slice(0, length), true);
    if (!isNode(node) || !node.range) continue;
    if (key !== undefined && isMap(node)) {
      const pair = node.items.find(
        (item) => isPair(item) && isScalar(item.key) && String(item.key.value) === key,
      );
      const at = isScalar(pair?.key) ? pair.key.range : undefined;
      if (at) return lines.linePos(at[0]).line;
    }
    return lines.linePos(node.range[0]).line;
  }
  return 1;
}

/** The path in words a person can find: list items by their id, or by number from 1. */
function fieldName(doc: Document, path: Path): string {
  let out = '';
  path.forEach((part, i) => {
    if (typeof part === 'string') {
      out += out === '' ? part : `.${part}`;
      return;
    }
    const id = doc.getIn([...path.slice(0, i + 1), 'id']);
    out += `[${typeof id === 'string' ? id : `#${part + 1}`}]`;
  });
  return out;
}
