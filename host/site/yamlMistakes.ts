// What the YAML parser complains of, in the words of someone who fills in a form.

const INDENT =
  'the indentation does not fit in this line or the next; put each field right under the first one of its group, ' +
  'and each "-" under the one before';

/** The parser's message, and what to say instead. The first that fits is taken. */
const SAYINGS: [RegExp, string][] = [
  [/^Tabs are not allowed/, 'there is a tab at the beginning; indent with spaces'],
  [/^Map keys must be unique/, 'this field is in its group already; remove one of the two'],
  [
    /^Plain value cannot start with reserved character/,
    'a text cannot begin with @ or `; put it between quotes',
  ],
  [/multiple documents/, 'a second document begins here; remove the line "---"'],
  [
    /^Flow (map|sequence)|^Block collections are not allowed within flow|^Missing ,|^Expected flow/,
    'a list or group in brackets is not complete; separate its parts by commas, each with a space after its ' +
      'colon, and close it with ] or }',
  ],
  [
    /^(Sequence item without|All sequence items|A block sequence may not|All mapping items)|^Bad indentation/,
    INDENT,
  ],
];

/** The parser may quote all the rest of the file. */
const SENTENCE_MAX = 200;

/** A text with a colon and a space in it: a field, its colon, and another colon in what is not between quotes. */
const TWO_COLONS = /^[\s-]*[\w-]+:\s+[^"'[{#\s][^#]*:(\s|$)/;

/** One sentence for a message of the parser about the text in a line. */
export function yamlSentence(message: string, line: string): string {
  const known = SAYINGS.find(([pattern]) => pattern.test(message))?.[1];
  if (known) return known;
  if (/^Nested mappings are not allowed/.test(message))
    return TWO_COLONS.test(line)
      ? 'there is a second colon in this line; put a text with a colon between quotes'
      : INDENT;
  if (/^Implicit (keys need|map keys)/.test(message))
    return `"${line.trim().slice(0, 30)}" is no field; write its name, a colon, a space and its value`;
  const quote = /^Missing closing (.)/.exec(message)?.[1];
  if (quote) return `a text begins with ${quote} but does not end with it; write ${quote} at its end`;
  return message.length > SENTENCE_MAX ? `${message.slice(0, SENTENCE_MAX)} ...` : message;
}

/** Line, from 1, in which the quote is opened that the parser missed at the end of the text; undefined: not known. */
export function openingLine(message: string, lines: string[]): number | undefined {
  const quote = /^Missing closing (.)/.exec(message)?.[1];
  if (!quote) return undefined;
  const begins = new RegExp(`[:,[{-]\\s+${quote}`);
  const at = lines.findIndex((line) => begins.test(line) && line.split(quote).length % 2 === 0);
  return at === -1 ? undefined : at + 1;
}

/** One sentence for what was found when aliases were expanded. */
export function aliasSentence(message: string): string {
  const name = /^Unresolved alias .*: (\S+)$/.exec(message)?.[1];
  return name === undefined
    ? `this YAML cannot be expanded: ${message}`
    : `this is not valid YAML: a text cannot begin with *; put "*${name}" between quotes`;
}
