// The plainest YAML, as programs write it: block lists and groups, groups and lists within one line, words, numbers and
// quoted texts. It is read in one pass, in a third of the time of a parser of all YAML; that one gets everything else.

/** Thrown inside where a text is not as plain as that. */
const NOT_PLAIN = new Error('not plain');

function give(): never {
  throw NOT_PLAIN;
}

/** Characters that are not plain: control characters, other ends of lines, halves of pairs. */
const ODD = /[^\n\r\x20-\x7e\xa0-\u2027\u202a-\ud7ff\ue000-\ufefe\uff00-\ufffd]|\r(?!\n)/;
/** What may begin a word without quotes; a minus also may, before a digit. */
const WORD = /^(-\d|[^\s\-?:,[\]{}#&*!|>'"%@`])/;
const WHOLE = /^(0|-?[1-9]\d{0,14})$/;
const DECIMAL = /^-?\d{1,9}\.\d{1,9}$/;
/** What is no text although it has no quotes, or might be none to some parser. */
const TELLING =
  /^([-+]?[.\d][\d._,:]*(e[-+]?\d*)?|[-+]?0[xob].*|[-+]?\.(inf|nan)|~|null|true|false|yes|no|on|off)$/i;
/** A colon that makes a key of a word, and the begin of a comment. */
const MORE = /:(\s|$)|\s#/;

const RETURN = 13;
const SPACE = 32;
const QUOTE = 34;
const HASH = 35;
const SINGLE = 39;
const COMMA = 44;
const DASH = 45;
const COLON = 58;
const OPEN_LIST = 91;
const CLOSE_LIST = 93;
const OPEN_GROUP = 123;
const CLOSE_GROUP = 125;

function isKeyPart(code: number): boolean {
  return (
    (code >= 97 && code <= 122) || (code >= 65 && code <= 90) || (code >= 48 && code <= 57) || code === 95
  );
}

function resolved(word: string): unknown {
  if (WHOLE.test(word) || DECIMAL.test(word)) return Number(word);
  if (word === 'true' || word === 'false') return word === 'true';
  if (!WORD.test(word) || TELLING.test(word) || MORE.test(word)) give();
  return word;
}

type Group = Record<string, unknown>;

class Reader {
  /** Of the line that is read now: its first character, that after its indentation, those behind the last that says something and behind all. */
  private line = 0;
  private start = 0;
  private last = 0;
  private end = -1;
  private isOver = false;
  /** Where reading inside the line has come. */
  private at = 0;
  /** Words are few, and each stands for the same everywhere. */
  private readonly words = new Map<string, unknown>();
  /** Keys by a number made of their first letter and length. */
  private readonly keys: string[] = [];

  constructor(private readonly text: string) {}

  read(): unknown {
    this.nextLine();
    if (this.isOver || this.indent > 0) give();
    const data = this.block();
    if (!this.isOver) give();
    return data;
  }

  private get indent(): number {
    return this.start - this.line;
  }

  /** Goes to the next line that says something. */
  private nextLine(): void {
    const { text } = this;
    for (;;) {
      this.line = this.end + 1;
      if (this.line >= text.length) {
        this.isOver = true;
        return;
      }
      const end = text.indexOf('\n', this.line);
      this.end = end < 0 ? text.length : end;
      this.start = this.line;
      while (text.charCodeAt(this.start) === SPACE) this.start++;
      this.last = this.end;
      if (this.last > this.start && text.charCodeAt(this.last - 1) === RETURN) this.last--;
      while (this.last > this.start && text.charCodeAt(this.last - 1) === SPACE) this.last--;
      if (this.start < this.last && text.charCodeAt(this.start) !== HASH) return;
    }
  }

  private isItem(): boolean {
    const { text, start } = this;
    return (
      text.charCodeAt(start) === DASH && (start + 1 >= this.last || text.charCodeAt(start + 1) === SPACE)
    );
  }

  private block(): unknown {
    return this.isItem() ? this.list() : this.group();
  }

  /** What stands on the lines below a key or a dash, if they are further in. */
  private below(indent: number): unknown {
    this.nextLine();
    if (this.isOver || this.indent <= indent) return null;
    return this.block();
  }

  private list(): unknown[] {
    const { indent } = this;
    const items: unknown[] = [];
    while (!this.isOver && this.indent === indent && this.isItem()) {
      this.at = this.start + 1;
      if (this.at >= this.last) items.push(this.below(indent));
      else {
        this.skipSpaces();
        if (this.isKey()) {
          this.start = this.at;
          items.push(this.group());
        } else items.push(this.inline());
      }
    }
    if (!this.isOver && this.indent > indent) give();
    return items;
  }

  private group(): Group {
    const { indent } = this;
    const group: Group = {};
    while (!this.isOver && this.indent === indent && !this.isItem()) {
      this.at = this.start;
      const key = this.key();
      if (this.at < this.last && this.text.charCodeAt(this.at) !== SPACE) give();
      put(group, key, this.at >= this.last ? this.valueBelow(indent) : this.inline());
    }
    if (!this.isOver && this.indent > indent) give();
    return group;
  }

  /** A list may be as far in as its key. */
  private valueBelow(indent: number): unknown {
    const value = this.below(indent);
    return value === null && !this.isOver && this.indent === indent && this.isItem() ? this.list() : value;
  }

  private skipSpaces(): void {
    while (this.text.charCodeAt(this.at) === SPACE) this.at++;
  }

  /** Whether a key stands here, and a value or nothing behind its colon. */
  private isKey(): boolean {
    const { text } = this;
    let at = this.at;
    while (isKeyPart(text.charCodeAt(at))) at++;
    if (at === this.at || text.charCodeAt(at) !== COLON) return false;
    return at + 1 >= this.last || text.charCodeAt(at + 1) === SPACE;
  }

  private key(): string {
    const { text, keys, at: from } = this;
    while (isKeyPart(text.charCodeAt(this.at))) this.at++;
    const end = this.at++;
    if (end === from || text.charCodeAt(end) !== COLON) give();
    const number = (text.charCodeAt(from) % 32) * 32 + ((end - from) % 32);
    const known = keys[number];
    if (known?.length === end - from && text.startsWith(known, from)) return known;
    const key = text.slice(from, end);
    if (!/^[a-z]/i.test(key) || TELLING.test(key)) give();
    keys[number] = key;
    return key;
  }

  /** A value on the rest of the line, with nothing after it. */
  private inline(): unknown {
    this.skipSpaces();
    const first = this.text.charCodeAt(this.at);
    const isWord = first !== OPEN_LIST && first !== OPEN_GROUP && first !== QUOTE && first !== SINGLE;
    const value = isWord ? this.word(this.last) : this.value();
    if (this.at !== this.last) give();
    this.nextLine();
    return value;
  }

  /** A value inside a line. */
  private value(): unknown {
    this.skipSpaces();
    const first = this.text.charCodeAt(this.at);
    if (first === OPEN_GROUP) return this.groupWithin();
    if (first === OPEN_LIST) return this.listWithin();
    if (first === QUOTE || first === SINGLE) return this.quoted();
    return this.wordWithin();
  }

  private quoted(): string {
    const { text, at } = this;
    const quote = text[at];
    const end = text.indexOf(quote, at + 1);
    if (end < 0 || end >= this.last) give();
    const said = text.slice(at + 1, end);
    // An escape, or a quote that does not end it.
    if ((quote === '"' && said.includes('\\')) || text[end + 1] === quote) give();
    this.at = end + 1;
    return said;
  }

  private groupWithin(): Group {
    const group: Group = {};
    this.at++;
    for (let isMore = !this.closes(CLOSE_GROUP); isMore; isMore = this.hasMore(CLOSE_GROUP)) {
      const key = this.key();
      if (this.text.charCodeAt(this.at) !== SPACE) give();
      put(group, key, this.value());
    }
    return group;
  }

  private listWithin(): unknown[] {
    const items: unknown[] = [];
    this.at++;
    for (let isMore = !this.closes(CLOSE_LIST); isMore; isMore = this.hasMore(CLOSE_LIST))
      items.push(this.value());
    return items;
  }

  /** Goes beyond the bracket if it is next. */
  private closes(bracket: number): boolean {
    this.skipSpaces();
    if (this.text.charCodeAt(this.at) !== bracket) return false;
    this.at++;
    return true;
  }

  /** Goes beyond the comma before something more, or the bracket that closes. */
  private hasMore(bracket: number): boolean {
    if (this.closes(bracket)) return false;
    if (this.text.charCodeAt(this.at) !== COMMA) give();
    this.at++;
    this.skipSpaces();
    return true;
  }

  /** A word inside brackets. */
  private wordWithin(): unknown {
    const { text, last } = this;
    let at = this.at;
    for (; at < last; at++) {
      const code = text.charCodeAt(at);
      if (code === COMMA || code === CLOSE_GROUP || code === CLOSE_LIST) break;
      if (code === COLON || code === HASH || code === OPEN_GROUP || code === OPEN_LIST) give();
    }
    return this.word(at);
  }

  /** The word up to a character, without quotes. */
  private word(until: number): unknown {
    let end = until;
    while (end > this.at && this.text.charCodeAt(end - 1) === SPACE) end--;
    const word = this.text.slice(this.at, end);
    this.at = until;
    let value = this.words.get(word);
    if (value === undefined) {
      value = resolved(word);
      this.words.set(word, value);
    }
    return value;
  }
}

function put(group: Group, key: string, value: unknown): void {
  // One that is there twice, or that every object has.
  if (group[key] !== undefined) give();
  group[key] = value;
}

/** The data in a YAML text that is as plain as that; undefined where another parser must look at it. */
export function blockData(text: string): unknown {
  if (ODD.test(text)) return undefined;
  try {
    return new Reader(text).read();
  } catch {
    // Not plain, or too deep.
    return undefined;
  }
}
