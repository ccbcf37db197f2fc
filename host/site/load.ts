import { dirname, join } from 'node:path';
import { type Document, isMap, isNode, isPair, isScalar, LineCounter, parseDocument } from 'yaml';
import type { z } from 'zod';
import { crossCheck } from './crossChecks';
import { readBytes, SITE_BYTES_MAX, utf8Text } from './fileText';
import type { PictureCheck } from './floorPlanChecks';
import { hint } from './hints';
import type { Site } from './model';
import { nearest } from './nearest';
import type { Path } from './note';
import { readPicture } from './picture';
import { plainData } from './plainYaml';
import { resolveSite } from './resolve';
import { aboutAt, knownKeys, siteFile } from './schema';
import { aliasSentence, openingLine, yamlSentence } from './yamlMistakes';

/** One mistake in a site file. */
export interface Mistake {
  file: string;
  /** Counted from 1; 0 if the file could not be read at all. */
  line: number;
  /** Sheet of a spreadsheet, whose row `line` is. */
  sheet?: string;
  /** E.g. `circuits[ground-a].luminaires[GA-03].mode`, '' for the file as a whole. */
  field: string;
  /** One sentence: what is wrong and what to write. */
  message: string;
  /** The field for a program; list items by their position. */
  path?: Path;
}

/** The mistake as one line, "file:line: field: message". */
export function formatMistake(mistake: Mistake): string {
  const { file, line, sheet } = mistake;
  const within = sheet === undefined ? `${file}:${line}` : `${file}: sheet "${sheet}", row ${line}`;
  const place = line > 0 ? within : file;
  return mistake.field ? `${place}: ${mistake.field}: ${mistake.message}` : `${place}: ${mistake.message}`;
}

/** The date today in a time zone. With it, dates after it and areas without light are mistakes too. */
export type Today = (timeZone: string) => string;

type Loaded = { site: Site } | { mistakes: Mistake[] };

const A_SITE_FILE = 'a site file, e.g. docs/examples/museum-of-tides.yaml';

/**
 * Reads a site file. Never throws, whatever is wrong with the file.
 * @param today for whoever writes the file; a host must start all the same, with a wrong clock too
 */
export function loadSite(file: string, today?: Today): Loaded {
  const read = readBytes(file, SITE_BYTES_MAX, A_SITE_FILE);
  const told = 'bytes' in read ? utf8Text(read.bytes) : read;
  const picture = today && picturesBeside(file);
  if ('text' in told) return parseSite(told.text, file, today, picture);
  return { mistakes: [{ file, field: '', ...told }] };
}

/** Looks at the pictures of a site file where they are. */
function picturesBeside(file: string): PictureCheck {
  return (path) => {
    const seen = readPicture(join(dirname(file), path));
    return 'message' in seen ? `${shown(path)}: ${seen.message}` : undefined;
  };
}

/** The site in a large file without mistakes; undefined where there may be some to tell. */
function plainSite(text: string, today?: Today, picture?: PictureCheck): Site | undefined {
  const parsed = siteFile.safeParse(plainData(text));
  if (!parsed.success) return undefined;
  let isRight = true;
  const note = () => {
    isRight = false;
  };
  crossCheck(parsed.data, note, { today: today?.(parsed.data.timeZone), picture });
  return isRight ? resolveSite(parsed.data) : undefined;
}

/** The first thing that is not YAML; what comes after it is often found only because of it. */
function yamlMistake(text: string, file: string, doc: Document, lines: LineCounter): Mistake[] {
  if (doc.errors.length === 0) return [];
  const first =
    doc.errors.find(({ code }) => code === 'TAB_AS_INDENT') ??
    doc.errors.reduce((a, b) => (b.pos[0] < a.pos[0] ? b : a));
  const all = text.split('\n');
  const { line } = lines.linePos(first.pos[0]);
  const said = yamlSentence(first.message, all[line - 1] ?? '');
  return [
    {
      file,
      line: openingLine(first.message, all) ?? line,
      field: '',
      message: `this is not valid YAML: ${sentence(said)}`,
    },
  ];
}

/** Checks the text of a site file; `file` is the name used in messages, `picture` looks at its pictures. */
export function parseSite(text: string, file: string, today?: Today, picture?: PictureCheck): Loaded {
  const site = plainSite(text, today, picture);
  if (site) return { site };
  const lines = new LineCounter();
  const doc = parseDocument(text, { lineCounter: lines, prettyErrors: false, logLevel: 'error' });
  const mistakes = yamlMistake(text, file, doc, lines);
  if (mistakes.length > 0) return { mistakes };
  const note = (path: Path, message: string, key?: string) => {
    const at = key === undefined ? path : [...path, key];
    const line = lineOf(doc, lines, path, key);
    mistakes.push({ file, line, field: fieldName(doc, at), message: sentence(message), path: at });
  };
  let data: unknown;
  try {
    data = doc.toJS();
  } catch (error) {
    note([], aliasSentence((error as Error).message));
    return { mistakes };
  }
  const parsed = siteFile.safeParse(data);
  if (parsed.success) crossCheck(parsed.data, note, { today: today?.(parsed.data.timeZone), picture });
  else for (const issue of parsed.error.issues) noteIssue(issue, data, note);
  mistakes.sort((a, b) => a.line - b.line);
  return mistakes.length > 0 || !parsed.success ? { mistakes } : { site: resolveSite(parsed.data) };
}

/** A field as the text inside a group in braces shows it after a decimal comma. */
const AFTER_COMMA = /^\d+$/;

/** What to do about a field that is not known here. */
function unknownHint(key: string, here: string): string {
  if (AFTER_COMMA.test(key))
    return `a comma separates two fields, so write a decimal point, as in 0.${key}, or a whole number`;
  const known = knownKeys[here] ?? [];
  const near = nearest(key, known);
  if (near) return `did you mean "${near}"?`;
  const home = Object.keys(knownKeys).find((group) => knownKeys[group].includes(key));
  if (home !== undefined)
    return `it is a field ${home === '' ? 'of the whole site, at the margin' : `of ${home}`}; check the indentation`;
  return `the fields here are: ${known.join(', ')}`;
}

function noteIssue(
  issue: z.core.$ZodIssue,
  data: unknown,
  note: (path: Path, message: string, key?: string) => void,
): void {
  const path = issue.path as Path;
  if (issue.code === 'unrecognized_keys') {
    const here = path.filter((part) => typeof part === 'string').join('.');
    for (const key of issue.keys)
      note(path, `there is no field "${key}" here; ${unknownHint(key, here)}`, key);
    return;
  }
  const value = path.reduce<unknown>((at, part) => (at as Record<string | number, unknown>)?.[part], data);
  if (value === undefined && path.length > 0) {
    note(path, `is missing; it ${issue.message}`);
    return;
  }
  const instead = hint(aboutAt(path), value);
  note(path, `${issue.message}, but is ${shown(value)}${instead && `; ${instead}`}`);
}

/** Invisible to whoever reads the sentence, or worse: control characters, ends of lines, changes of direction. */
const UNSEEN = /[\u007f-\u009f\u2028-\u202e\u2066-\u2069]/g;

/** A value as sentences quote it: at most 40 characters, on one line. */
export function shown(value: unknown): string {
  if (value === null || value === undefined) return 'empty';
  if (Array.isArray(value)) return value.length === 0 ? 'an empty list' : 'a list';
  if (typeof value === 'object') return 'a group of fields';
  const text = JSON.stringify(value).replace(UNSEEN, ' ');
  return text.length > 40 ? `${text.slice(0, 37)}..."` : text;
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
