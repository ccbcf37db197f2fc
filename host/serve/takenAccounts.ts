// The accounts of a host for one building, for the host of several that takes its place.
import { linkSync, readdirSync, renameSync, rmSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { owedEntry } from '../accounts/changes';
import { carryAccounts } from '../accounts/copy';
import { accountsFileOf, openAccounts } from '../accounts/store';
import { syncPath } from '../disk';
import { sharedIn } from './places';
import { tell } from './tell';

const END = '.db.accounts';
/** Behind the name of a file that was taken over, so that it is not taken over again. */
const TAKEN = '.taken-over';
/** Who signs in the log book that a role was kept. */
const HOST = { id: '', name: 'Nightproof host' };

/**
 * Administrators are that everywhere; everybody else keeps the role in the one building whose accounts these are, whoever has
 * the same id elsewhere.
 */
function settle(file: string, building: string): void {
  const store = openAccounts(file);
  try {
    store.change(() => {
      for (const account of store.all()) {
        if (account.role === 'administrator' || account.at) continue;
        const { id, name, role } = account;
        store.put({ ...account, at: { [building]: role } });
        const kept = { account: id, name, role, did: 'role', before: 'none' } as const;
        store.owe(owedEntry({ ...kept, buildings: [building] }, HOST));
      }
    });
    if (store.trouble() !== '') throw new Error(store.trouble());
  } finally {
    store.close();
  }
}

/** @throws Error if they cannot be read or written; nothing is changed then */
function take(folder: string, building: string, file: string): void {
  const from = join(folder, building + END);
  const draft = `${file}.${process.pid}.unfinished`;
  try {
    carryAccounts(from, draft);
    settle(draft, building);
    syncPath(draft);
    linkSync(draft, file);
    renameSync(from, from + TAKEN);
    syncPath(folder);
  } finally {
    rmSync(draft, { force: true });
  }
}

/** Takes over the accounts of a host for one of the buildings, where this host never had any. It never throws. */
export function takeOverAccounts(folder: string): void {
  const file = accountsFileOf(sharedIn(folder));
  if (statSync(file, { throwIfNoEntry: false })) return;
  const names = readdirSync(folder);
  const old = names.filter((name) => name.endsWith(END));
  const list = old.join(', ');
  if (old.length === 0) return;
  if (names.some((name) => name.endsWith(END + TAKEN))) {
    tell(
      `${file} is gone: restore it from your backup. The accounts in ${list} are not taken over in its place.`,
    );
    return;
  }
  if (old.length > 1) {
    tell(
      `The accounts in ${list} are not taken over, because they may name the same people: move all but one of them away, start again, and make the others anew.`,
    );
    return;
  }
  const building = old[0].slice(0, -END.length);
  try {
    take(folder, building, file);
    tell(
      `The accounts in ${list} were taken over: its administrators for every building, everybody else for ${building}. The file is ${list}${TAKEN} now.`,
    );
  } catch (error) {
    tell(`The accounts in ${list} are not taken over: ${(error as Error).message}`);
  }
}
