// The proof as text: what the HTML file carries, what its verifier reads, and what a person with sed and openssl can
// take apart. Line by line, in sections, in one form only.
import { decimal, FormatError } from '../bytes';

/** What the file says it is about. None of it is proven; the records are. */
export interface ProofAbout {
  luminaire: string;
  /** Ids it had before. */
  formerly: string[];
  /** Local dates, YYYY-MM-DD. */
  from: string;
  to: string;
  /** IANA time zone of the building. */
  zone: string;
  building: string;
}

/** A state of the log that was noted before, and the proof that the log still begins with it. */
export interface Earlier {
  size: number;
  /** Hex. */
  root: string;
  /** Hex. */
  hashes: string[];
}

export interface ProofStamp {
  url: string;
  /** TimeStampResp, base64. */
  token: string;
}

export interface ProofText {
  about: ProofAbout;
  /** Verifier keys: the host's, then those of the witnesses. */
  keys: string[];
  /** Signed note with cosignatures. */
  checkpoint: string;
  stamps: ProofStamp[];
  earlier: Earlier | undefined;
  /** Hashes of the parts of the tree that hold none of the entries, from left to right, hex. */
  hashes: string[];
  /** Numbers from 1, rising, and what the tree's leaves were made of, base64. */
  entries: { entry: number; data: string }[];
  /** The host's signature line on `signedText`, without newline. */
  signature: string;
}

const HEAD = '== nightproof proof 1';
const SECTIONS = [HEAD, '== keys', '== checkpoint', '== stamps', '== earlier', '== hashes', '== entries'];
const SIGNATURE = '== signature';
const END = '== end';

function aboutLines({ luminaire, formerly, from, to, zone, building }: ProofAbout): string[] {
  const also = formerly.length > 0 ? [`formerly ${formerly.join(' ')}`] : [];
  // Nothing in the text may look like markup to a browser.
  const names = [`zone ${zone}`, `building ${encodeURIComponent(building)}`];
  return [`luminaire ${luminaire}`, ...also, `from ${from}`, `to ${to}`, ...names];
}

function earlierLines(earlier: Earlier | undefined): string[] {
  return earlier ? [`${earlier.size} ${earlier.root}`, ...earlier.hashes] : [];
}

/** Everything before the first entry. */
function frontText(proof: Omit<ProofText, 'entries' | 'signature'>): string {
  const parts = [
    aboutLines(proof.about),
    proof.keys,
    proof.checkpoint.slice(0, -1).split('\n'),
    proof.stamps.map(({ url, token }) => `${url} ${token}`),
    earlierLines(proof.earlier),
    proof.hashes,
    [],
  ];
  return parts.map((lines, i) => `${[SECTIONS[i], ...lines].join('\n')}\n`).join('');
}

/** Everything before the signature. */
export function unsignedText(proof: Omit<ProofText, 'signature'>): string {
  return frontText(proof) + proof.entries.map(({ entry, data }) => `${entry} ${data}\n`).join('');
}

/** What the host signs for the whole file. @param hash SHA-256 of the unsigned text, hex */
export function signedText(hash: string): string {
  return `nightproof proof 1 ${hash}\n`;
}

/** Everything after the last entry. */
function endText(signature: string): string {
  return `${SIGNATURE}\n${signature}\n${END}\n`;
}

export function proofFileText(unsigned: string, signature: string): string {
  return unsigned + endText(signature);
}

function field(lines: string[], name: string): string {
  const line = lines.shift() ?? '';
  if (!line.startsWith(`${name} `)) throw new FormatError(`The file does not say ${name} where it should.`);
  return line.slice(name.length + 1);
}

function readAbout(lines: string[]): ProofAbout {
  const luminaire = field(lines, 'luminaire');
  const formerly = lines[0]?.startsWith('formerly ') ? field(lines, 'formerly').split(' ') : [];
  const about = { luminaire, formerly, from: field(lines, 'from'), to: field(lines, 'to') };
  return { ...about, zone: field(lines, 'zone'), building: decodeURIComponent(field(lines, 'building')) };
}

function hashIn(section: string): (text: string, i: number) => string {
  return (text, i) => {
    if (!/^[0-9a-f]{64}$/.test(text))
      throw new FormatError(
        `Line ${i + 1} of the section "${section}" is not a hash: "${text.slice(0, 80)}".`,
      );
    return text;
  };
}

function readEarlier([first, ...hashes]: string[]): Earlier | undefined {
  if (first === undefined) return undefined;
  const [size, root] = first.split(' ');
  const hash = hashIn('earlier');
  return {
    size: decimal(size, 'The earlier size'),
    root: hash(root ?? '', 0),
    hashes: hashes.map((text, i) => hash(text, i + 1)),
  };
}

function readEntries(lines: string[]): ProofText['entries'] {
  let last = 0;
  return lines.map((line) => {
    const cut = line.indexOf(' ');
    const entry = decimal(line.slice(0, Math.max(0, cut)), 'The number of an entry');
    if (entry <= last) throw new FormatError(`Entry ${entry} stands after entry ${last}.`);
    last = entry;
    return { entry, data: line.slice(cut + 1) };
  });
}

/** The lines of each section, in order. */
function sectionsOf(lines: readonly string[]): string[][] {
  const marks = [...SECTIONS, SIGNATURE, END];
  const parts: string[][] = [];
  let from = 0;
  for (const mark of marks) {
    const at = lines.indexOf(mark, from);
    if (at < 0 || (mark === HEAD && at > 0))
      throw new FormatError(`The line "${mark}" is missing in the file.`);
    if (mark !== HEAD) parts.push(lines.slice(from, at));
    from = at + 1;
  }
  return parts;
}

/**
 * Whether `lines` are the only ones for this proof. Those of entries, most of a long file, are not made anew: each was
 * read as a number in its only form, a space and the rest of the line.
 */
function isOnlyForm(lines: readonly string[], proof: ProofText): boolean {
  const front = frontText(proof).split('\n').slice(0, -1);
  const end = endText(proof.signature).split('\n');
  const endAt = front.length + proof.entries.length;
  return (
    lines.length === endAt + end.length &&
    front.every((line, i) => line === lines[i]) &&
    end.every((line, i) => line === lines[endAt + i])
  );
}

/** A proof as it was read, and the lines that the host signed, each without its newline. */
export interface ReadProof extends ProofText {
  unsigned: readonly string[];
}

/**
 * @param lines of the text, divided at each newline
 * @throws FormatError with one sentence unless they are a proof in its one form.
 */
export function parseProofFile(lines: readonly string[]): ReadProof {
  const [about, keys, checkpoint, stamps, earlier, hashes, entries, signature] = sectionsOf(lines);
  let proof: ProofText;
  try {
    proof = {
      about: readAbout(about),
      keys,
      checkpoint: `${checkpoint.join('\n')}\n`,
      stamps: stamps.map((line) => ({ url: line.split(' ')[0], token: line.split(' ')[1] ?? '' })),
      earlier: readEarlier(earlier),
      hashes: hashes.map(hashIn('hashes')),
      entries: readEntries(entries),
      signature: signature.join('\n'),
    };
  } catch (error) {
    if (error instanceof URIError) throw new FormatError('The name of the building cannot be read.');
    throw error;
  }
  if (!isOnlyForm(lines, proof))
    throw new FormatError('Something stands in the file that does not belong there.');
  return { ...proof, unsigned: lines.slice(0, lines.lastIndexOf(SIGNATURE)) };
}
