// `logbook verify`: checks everything a log book claims, in a process of its own, so that whatever a damaged
// file does to what reads it ends in a sentence.

import { fork } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { sha256Raw } from '../keys';
import { type Fault, faultList, PARTS } from '../logbook/fault';
import { readNoted } from '../logbook/verify/noted';
import type { BookReport } from '../logbook/verify/verify';
import { parseKey } from '../proof/verifierKey';
import { startProgress } from './progress';

/** What the process is told, as JSON: it must survive being passed on as an argument. */
export interface PartOrders {
  db: string;
  site?: string;
  /** Secret file, if not the one beside the log book. */
  secret?: string;
  noted: string[];
  witness: string[];
}

export interface VerifyFlags extends PartOrders {
  json: boolean;
}

/** What the process says while it works; the last is the report, or why it cannot make one. */
export type PartWord = { fault: Fault } | { entries: number } | { report: BookReport } | { cannot: string };

/** What was found out; if the process that read the file came to an end, all it had said until then. */
export type Found = Omit<BookReport, 'root' | 'size' | 'finalHash'> &
  Partial<Pick<BookReport, 'root' | 'size' | 'finalHash'>>;

function cutShort(faults: Fault[], entries: number, how: string): Found {
  const why =
    `The process that reads the log book was ended by ${how} after entry ${entries}; ` +
    'what comes after it was not checked. The file is damaged.';
  const all: Fault[] = [...faults, { part: 'storage', entry: 0, why }];
  const list = faultList();
  for (const fault of all) list.add(fault);
  const { counts, said } = list;
  return {
    ...{ valid: false, entries, faults: all, counts, said, checkpoints: 0, witnessed: 0 },
    ...{ broken: { entry: all[0].entry, why: all[0].why }, signatures: false, unchecked: [why] },
  };
}

/**
 * Verifies a log book in a process of its own, and shows how far it is unless `isQuiet`.
 * @throws Error with one sentence if there is nothing to verify: no file, or none of ours.
 */
export function verifyApart(orders: PartOrders, isQuiet = true): Promise<Found> {
  return new Promise((resolve, reject) => {
    const faults: Fault[] = [];
    let entries = 0;
    const progress = startProgress({
      ...{ total: 0, what: 'entries checked', isQuiet, kept: 'Checking changes nothing.' },
    });
    let end: (() => void) | undefined;
    const child = fork(process.argv[1], ['logbook', 'verify-part', JSON.stringify(orders)]);
    child.on('message', (word: PartWord) => {
      if ('fault' in word) faults.push(word.fault);
      else if ('entries' in word) {
        progress.step(word.entries - entries);
        entries = word.entries;
      } else if ('report' in word) end = () => resolve(word.report);
      else end = () => reject(new Error(word.cannot));
    });
    child.on('error', reject);
    child.on('exit', (code, signal) => {
      progress.end();
      if (end) end();
      else resolve(cutShort(faults, entries, signal ?? `an error (code ${code})`));
    });
  });
}

/** The same with what is wrong where a copy was made from, one sentence each. */
export function withFaults(found: Found, whys: readonly string[]): Found {
  if (whys.length === 0) return found;
  const faults = [...whys.map((why): Fault => ({ part: 'storage', entry: 0, why })), ...found.faults];
  const counts = { ...found.counts, storage: (found.counts.storage ?? 0) + whys.length };
  return { ...found, valid: false, faults, counts };
}

/** Faults that the log book did not say itself. */
function counted({ counts }: Found): number {
  return Object.values(counts).reduce((sum, n) => sum + n, 0);
}

function faultLine({ part, why, about }: Fault): string {
  return `  ${part}: ${why}${about ? ` (${about})` : ''}`;
}

export function faultLines(found: Found, said: boolean): string[] {
  const listed = found.faults.filter((fault) => (fault.said ?? false) === said);
  const lines = PARTS.flatMap((part) => listed.filter((fault) => fault.part === part)).map(faultLine);
  const all = said ? found.said : counted(found);
  return all > listed.length ? [...lines, `  and ${all - listed.length} more.`] : lines;
}

function headline(db: string, found: Found): string {
  const count = counted(found);
  if (!found.valid)
    return `The log book ${db} is not intact: ${count} ${count === 1 ? 'fault' : 'faults'} in ${found.entries} entries.`;
  const signed = found.signatures ? 'every chain and every signature' : 'every chain, but no signature,';
  return `The log book ${db} is intact: ${found.entries} entries, ${signed} checked. Last hash ${found.finalHash}`;
}

/** What stands by the log book from outside, and what that leaves open. */
function backing(found: Found, isNoted: boolean): string[] {
  const lines = [`Root of all ${found.size} entries, to note down: ${found.root}`];
  if (found.checkpoints > 0)
    lines.push(`Signed checkpoints: ${found.checkpoints}, all of them fit the entries.`);
  if (found.witnessed > 0) lines.push(`A witness has signed the first ${found.witnessed} entries.`);
  else if (!isNoted)
    lines.push(
      'No witness and no noted root was compared: someone who holds this host and its secret could have ' +
        'written the whole log book anew, or taken its newest entries away.',
    );
  return lines;
}

function words(o: VerifyFlags, found: Found): string {
  const open = found.unchecked.map((why) => `Not checked: ${why}`);
  const said = faultLines(found, true);
  const lines = [
    headline(o.db, found),
    ...faultLines(found, false),
    ...(said.length > 0 ? ['What controllers sent that does not fit, kept as it came:', ...said] : []),
    ...open,
    ...(found.valid && o.noted.length > 0 ? ['It contains what was noted.'] : []),
    ...(found.valid ? backing(found, o.noted.length > 0) : []),
  ];
  return `${lines.join('\n')}\n`;
}

/** A root as it was noted, or the file that holds a checkpoint somebody else keeps. */
function notedText(text: string): string {
  return existsSync(text) ? readFileSync(text, 'utf8') : text;
}

/** Roots and witness keys as they were given, read. @throws Error with one sentence if one of them is none */
export function outsideOf({ noted, witness }: Pick<PartOrders, 'noted' | 'witness'>): {
  noted: string[];
  witness: string[];
} {
  const texts = noted.map(notedText);
  for (const text of texts) readNoted(text);
  for (const key of witness) parseKey(key, sha256Raw);
  return { noted: texts, witness };
}

function exitCode(found: Found): number {
  if (!found.valid) return 1;
  return found.unchecked.length > 0 ? 2 : 0;
}

/**
 * Verifies the log book in `db` and prints the outcome.
 * @returns the exit code: 0 if it is whole, 1 if it is damaged or cannot be read, 2 if not all could be checked
 */
export async function verifyCommand(o: VerifyFlags): Promise<number> {
  try {
    const found = await verifyApart({ ...o, ...outsideOf(o) }, o.json);
    if (o.json) process.stdout.write(`${JSON.stringify(found)}\n`);
    else (found.valid ? process.stdout : process.stderr).write(words(o, found));
    return exitCode(found);
  } catch (error) {
    process.stderr.write(`${(error as Error).message}\n`);
    return 1;
  }
}
