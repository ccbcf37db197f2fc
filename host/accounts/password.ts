// Passwords and one-time codes: what is accepted, and what is kept of them.
import { randomBytes } from 'node:crypto';
import { PASSWORD_MAX, PASSWORD_MIN } from '../api/accounts';
import { sha256Hex } from '../keys';
import { argonFits, argonHash, guessesFor } from './passwordThread';

/** The least of OWASP's Password Storage Cheat Sheet (2023) for Argon2id: 19 MiB, two passes, one lane. */
const COST = { iterations: 2, memorySize: 19 * 1024, parallelism: 1, hashLength: 32 };
const SALT_BYTES = 16;

/** Fewer guesses than these are too few; "safely unguessable" by the estimator's authors (zxcvbn, USENIX Security 2016). */
const GUESSES_MIN = 1e8;
/** As much of a password as is judged: more makes it no weaker, and takes the estimator seconds. */
const JUDGED = 40;

/** Words of the trade and what stands on many lists; compared without capitals, blanks and signs. */
const COMMON = [
  'password',
  'passwort',
  'motdepasse',
  'contrasena',
  'qwertyuiop',
  'qwertzuiop',
  'azertyuiop',
  '1234567890',
  'abcdefghij',
  'letmein',
  'iloveyou',
  'administrator',
  'emergency',
  'lighting',
  'notbeleuchtung',
  'nightproof',
  'welcome',
  'willkommen',
  'changeme',
];

/** Without accents too, which people leave out. */
const bare = (text: string): string =>
  text
    .normalize('NFKD')
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]/gu, '');

/** Each as a whole and by its words, the longest first: what is cut out must not leave a piece of a longer one. */
function wordsOf(others: readonly string[]): string[] {
  const all = [...others, ...others.flatMap((text) => text.split(/[^\p{L}\p{M}\p{N}]+/u))];
  return [...new Set(all.map(bare))].filter(({ length }) => length > 2).sort((a, b) => b.length - a.length);
}

/** What is left of a password without the common words and names in it, and without what only repeats or counts. */
function leftOf(password: string, others: readonly string[]): string {
  let left = bare(password);
  for (const word of wordsOf([...COMMON, ...others])) left = left.replaceAll(word, '');
  return left.replace(/(.+?)\1+/gu, '$1').replace(/\d+/g, '');
}

/**
 * Why a password is refused, one sentence; '' if it may be used. Length and how soon it is guessed, and no rule for
 * capitals, digits or signs, as NIST SP 800-63B advises.
 * @param own account and name of its owner
 * @param building what else an attacker knows: id, name and responsible person of the building
 * @throws Error if it cannot be judged, as without memory
 */
export async function passwordRefusal(
  password: string,
  own: readonly string[],
  building: readonly string[] = [],
): Promise<string> {
  const length = Array.from(password.normalize('NFKC')).length;
  if (length < PASSWORD_MIN)
    return `A password needs at least ${PASSWORD_MIN} characters. Four unrelated words do.`;
  if (length > PASSWORD_MAX) return `A password may have at most ${PASSWORD_MAX} characters.`;
  const names = [...own, ...building];
  const isLeft = leftOf(password, names).length >= 4;
  if (isLeft && (await guessesFor(password.slice(0, JUDGED), names)) >= GUESSES_MIN) return '';
  const contains = (those: readonly string[]) => wordsOf(those).some((word) => bare(password).includes(word));
  if (contains(own)) return 'This password contains your name. Choose four unrelated words.';
  if (contains(building))
    return 'This password contains a name that belongs to the building. Choose four unrelated words.';
  return 'This password is among the first that others would try. Choose four unrelated words.';
}

/** Of the same characters whatever keyboard they were typed on. */
const asTyped = (password: string): string => password.normalize('NFKC');

/** What is kept of a password, in PHC's string form. */
export function hashPassword(password: string): Promise<string> {
  return argonHash({
    password: asTyped(password),
    salt: randomBytes(SALT_BYTES),
    outputType: 'encoded',
    ...COST,
  });
}

/** False too where the hash is damaged. */
export async function isPassword(password: string, hash: string): Promise<boolean> {
  return password !== '' && argonFits(asTyped(password), hash);
}

/** Without letters that are read for others (Crockford's base 32). */
const LETTERS = '0123456789ABCDEFGHJKMNPQRSTVWXYZ';

/** 100 random bits in four groups, for people to type once. */
export function newCode(): string {
  const letters = [...randomBytes(20)].map((byte) => LETTERS[byte % 32]).join('');
  return letters.replace(/(.{5})(?!$)/g, '$1-');
}

/** What is kept of a code: it has too many possible values for anyone to try them. */
export function codeHash(code: string): string {
  const letters = code.toUpperCase().replace(/[IL]/g, '1').replace(/O/g, '0');
  return sha256Hex(`nightproof one-time code ${letters.replace(/[^0-9A-Z]/g, '')}`);
}

/** A new secret of 256 bits for a cookie, and what is kept of it. */
export function newToken(): { token: string; hash: string } {
  const token = randomBytes(32).toString('base64url');
  return { token, hash: tokenHash(token) };
}

export function tokenHash(token: string): string {
  return sha256Hex(`nightproof token ${token}`);
}
