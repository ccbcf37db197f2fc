// `logbook backup`, `restore` and `export`: copies of a log book, none of which ever replaces a file.
import {
  accessSync,
  closeSync,
  constants,
  copyFileSync,
  existsSync,
  fsyncSync,
  linkSync,
  mkdirSync,
  openSync,
  rmSync,
  writeSync,
} from 'node:fs';
import { dirname } from 'node:path';
import { copyAccounts } from '../accounts/copy';
import { accountsFileOf } from '../accounts/store';
import { isPostgres } from '../beside';
import { syncPath } from '../disk';
import { secretFileOf } from '../keys';
import {
  copyLogbook,
  fillLogbook,
  isLogbookThere,
  lockLogbook,
  openInspected,
} from '../logbook/engines/open';
import { entriesOf } from '../logbook/inspect';
import { isOwnJournal } from '../logbook/own';
import { bookIn, sharedIn, sitesIn } from '../serve/places';
import { type Found, faultLines, outsideOf, verifyApart, withFaults } from './logbook';

export interface CopyFlags {
  db: string;
  /** Folder of the log books of several buildings, in place of `db`. */
  logbooks?: string;
  secret?: string;
  /** As `verify` takes them. */
  noted: string[];
  witness: string[];
}

/** Most journals named one by one. */
const JOURNALS_MAX = 30;

function tell(...lines: string[]): void {
  if (lines.length > 0) process.stdout.write(`${lines.join('\n')}\n`);
}

function complain(...lines: string[]): 1 {
  process.stderr.write(`${lines.join('\n')}\n`);
  return 1;
}

function refuseExisting(file: string): void {
  for (const end of ['', '-wal', '-shm'])
    if (existsSync(file + end))
      throw new Error(
        `${file}${end} exists already, and nothing is replaced; name another file or move it away.`,
      );
}

/** Gives a finished file its name, unless another has it by now. */
function nameIt(draft: string, file: string): void {
  try {
    linkSync(draft, file);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error;
    throw new Error(`${file} exists already, and nothing is replaced; name another file.`);
  } finally {
    rmSync(draft, { force: true });
  }
  syncPath(dirname(file));
}

const draftOf = (to: string): string => `${to}.${process.pid}.unfinished`;

/** Copies, verifies the copy, and only then gives it its name. */
async function verifiedCopy(from: string, to: string, secret: string, o: CopyFlags): Promise<Found> {
  const outside = outsideOf(o);
  refuseExisting(to);
  if (!(await isLogbookThere(from))) throw new Error(`There is no log book ${from}.`);
  const draft = draftOf(to);
  try {
    const faults = await copyLogbook(from, draft);
    return withFaults(await verifyApart({ db: draft, secret, ...outside }), faults);
  } catch (error) {
    rmSync(draft, { force: true });
    throw error;
  } finally {
    for (const end of ['-wal', '-shm']) rmSync(draft + end, { force: true });
  }
}

async function plainly(work: () => Promise<number>): Promise<number> {
  try {
    return await work();
  } catch (error) {
    return complain((error as Error).message);
  }
}

function headOf(found: Found): string {
  return `${found.entries} entries, last hash ${found.finalHash}, root ${found.root}`;
}

/** The accounts that belong to a log book go where its copy is, if there are any. @returns what to say about them */
function copyBeside(from: string, to: string): string[] {
  if (!existsSync(from)) return [];
  copyAccounts(from, to);
  return [
    `The accounts are in ${to}, which only its owner may read; sessions, tokens, passkeys and one-time codes are not in it.`,
  ];
}

/** Accounts that cannot be copied hide nothing of the log book. */
function accountsTold(copy: () => string[]): { told: string[]; failed: string[] } {
  try {
    return { told: copy(), failed: [] };
  } catch (error) {
    return { told: [], failed: [(error as Error).message] };
  }
}

/** @returns the exit code, having said what failed */
function codeOf(found: Found, failed: string[]): number {
  if (failed.length > 0) return complain(...failed);
  return found.unchecked.length > 0 ? 2 : 0;
}

async function backup(file: string, o: CopyFlags): Promise<number> {
  const secret = o.secret ?? secretFileOf(o.db);
  const accounts = accountsFileOf(file);
  refuseExisting(accounts);
  const found = await verifiedCopy(o.db, file, secret, o);
  nameIt(draftOf(file), file);
  const { told, failed } = accountsTold(() => copyBeside(accountsFileOf(o.db), accounts));
  if (!found.valid)
    return complain(
      `The backup ${file} was made, but the log book it is a copy of is not intact:`,
      ...faultLines(found, false),
      ...failed,
    );
  tell(
    `The backup ${file} is whole: ${headOf(found)}`,
    ...told,
    `The site secret ${secret} is not in it. Keep a copy of it, apart from the backup: without it no controller ` +
      'accepts a host, and with both anybody could be the host.',
    ...found.unchecked.map((why) => `Not checked: ${why}`),
  );
  return codeOf(found, failed);
}

/** Does the same for every log book in a folder. @returns the worst exit code */
async function eachIn(folder: string, one: (site: string) => Promise<number>): Promise<number> {
  const codes: number[] = [];
  for (const site of sitesIn(folder)) codes.push(await plainly(() => one(site)));
  return codes.includes(1) ? 1 : Math.max(...codes);
}

/** Of all buildings, into a new folder. */
async function backupAll(to: string, from: string): Promise<number> {
  if (existsSync(to))
    throw new Error(`${to} exists already, and nothing is replaced; name another folder or move it away.`);
  const none = { noted: [], witness: [] };
  sitesIn(from);
  mkdirSync(to, { mode: 0o700 });
  const code = await eachIn(from, (site) => backup(bookIn(to, site), { ...none, db: bookIn(from, site) }));
  tell(...copyBeside(accountsFileOf(sharedIn(from)), accountsFileOf(sharedIn(to))));
  return code;
}

/** How several are copied: what one log book is held against says nothing of the others. @throws Error in one sentence */
function folderOf({ logbooks, secret, noted, witness }: CopyFlags): string | undefined {
  if (logbooks !== undefined && (secret !== undefined || noted.length + witness.length > 0))
    throw new Error(
      '--secret, --noted and --witness are for one log book; leave --logbooks out, and give it with --db.',
    );
  return logbooks;
}

/** @returns the exit code: 0 if the copy is whole, 1 if not, 2 if not all of it could be checked */
export function backupCommand(file: string, o: CopyFlags): Promise<number> {
  return plainly(async () => {
    const from = folderOf(o);
    return from === undefined ? backup(file, o) : backupAll(file, from);
  });
}

/** Newest record of each controller's journal. */
async function reached(db: string): Promise<string[]> {
  const book = await openInspected(db);
  try {
    const newest = new Map<string, number>();
    for (const { address, journal, seq } of entriesOf(book)) {
      const name = `${address}, journal ${journal}`;
      if (address.split('/').length === 2 && !isOwnJournal(journal))
        newest.set(name, Math.max(seq, newest.get(name) ?? 0));
    }
    const lines = [...newest].map(([name, seq]) => `  ${name}: after record ${seq}`);
    const more = lines.length - JOURNALS_MAX;
    return more > 0 ? [...lines.slice(0, JOURNALS_MAX), `  and ${more} more.`] : lines;
  } finally {
    book.close();
  }
}

/** Puts the secret beside a restored log book, if one is at hand. @returns what to say about it */
function placeSecret(from: string, db: string): string {
  const to = secretFileOf(db);
  if (existsSync(to)) return `The site secret ${to} was there already.`;
  if (!existsSync(from))
    return `Put the site secret at ${to} (mode 600) before you start the host: it would make a new one, which no controller accepts.`;
  copyFileSync(from, to, constants.COPYFILE_EXCL);
  return `The site secret ${from} was copied to ${to}.`;
}

/** Puts the accounts of a backup where they belong. @returns what to say about them */
function placeAccounts(from: string, to: string): string[] {
  if (!existsSync(from)) return [];
  if (existsSync(to)) return [`The accounts ${to} were there already.`];
  copyAccounts(from, to);
  return [
    `The accounts ${from} were copied to ${to}: everybody signs in again; access tokens, passkeys and one-time codes are made anew.`,
  ];
}

/** Puts a backup, or the log book of a stopped host, where there is none. */
async function restore(file: string, o: CopyFlags): Promise<number> {
  // Where nothing can be written, no host runs.
  const lock = isPostgres(o.db) && isWritable(file) ? await lockLogbook(file) : undefined;
  try {
    return await restoreStill(file, o);
  } finally {
    await lock?.release();
  }
}

function isWritable(file: string): boolean {
  try {
    accessSync(dirname(file), constants.W_OK);
    return existsSync(file);
  } catch {
    return false;
  }
}

async function restoreStill(file: string, o: CopyFlags): Promise<number> {
  const own = secretFileOf(o.db);
  const secret = o.secret ?? (existsSync(own) ? own : secretFileOf(file));
  const isDatabase = isPostgres(o.db);
  const found = isDatabase
    ? await verifyApart({ db: file, secret, ...outsideOf(o) })
    : await verifiedCopy(file, o.db, secret, o);
  if (!found.valid) {
    if (!isDatabase) rmSync(draftOf(o.db), { force: true });
    return complain(
      `Nothing was restored: the backup ${file} is not intact. Keep it, and restore another one.`,
      ...faultLines(found, false),
    );
  }
  if (isDatabase) await fillLogbook(file, o.db, found.finalHash);
  else nameIt(draftOf(o.db), o.db);
  const { told, failed } = accountsTold(() => placeAccounts(accountsFileOf(file), accountsFileOf(o.db)));
  tell(
    `The log book ${o.db} was restored: ${headOf(found)}`,
    placeSecret(secret, o.db),
    ...told,
    'It holds records of these controllers:',
    // Of a database the file has the same, and need not be copied back to be read.
    ...(await reached(isDatabase ? file : o.db)),
    'The host asks each controller to send again what it has passed on since. Controllers keep their records for ' +
      'about two years; "logbook verify" names those that are missing all the same.',
    'What people and the host entered after the backup is not in it: enter it again. A witness that has signed ' +
      'more entries than these will refuse this log book, and it is right: keep its refusal with your papers.',
    ...found.unchecked.map((why) => `Not checked: ${why}`),
  );
  return codeOf(found, failed);
}

/** @returns the exit code: 0 if the log book is whole, 1 if nothing was restored, 2 if not all could be checked */
export function restoreCommand(file: string, o: CopyFlags): Promise<number> {
  return plainly(async () => {
    const to = folderOf(o);
    if (to === undefined) return restore(file, o);
    const none = { noted: [], witness: [] };
    sitesIn(file);
    mkdirSync(to, { recursive: true, mode: 0o700 });
    const code = await eachIn(file, (site) => restore(bookIn(file, site), { ...none, db: bookIn(to, site) }));
    tell(...placeAccounts(accountsFileOf(sharedIn(file)), accountsFileOf(sharedIn(to))));
    return code;
  });
}

/** Writes every entry as a line of JSON, oldest first. @returns the exit code */
export function exportCommand(file: string, db: string): Promise<number> {
  return plainly(async () => {
    if (!(await isLogbookThere(db))) throw new Error(`There is no log book ${db}; give its file with --db.`);
    const book = await openInspected(db);
    let count = 0;
    let handle: number | undefined;
    try {
      handle = openSync(file, 'wx');
      for (const { isText: _, ...entry } of entriesOf(book)) {
        writeSync(handle, `${JSON.stringify(entry)}\n`);
        count++;
      }
      fsyncSync(handle);
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error;
      throw new Error(`${file} exists already, and nothing is replaced; name another file.`);
    } finally {
      if (handle !== undefined) closeSync(handle);
      book.close();
    }
    tell(`${count} entries were written to ${file}.`);
    return 0;
  });
}
