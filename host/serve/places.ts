// Where a host for several buildings keeps what: log books by the ids of their sites, and beside them what is for all.
import { readdirSync } from 'node:fs';
import { join } from 'node:path';

const BOOK = /^([a-z0-9-]{1,24})\.db$/;

/** Log book of a site in a folder; the secret is beside it. */
export function bookIn(folder: string, site: string): string {
  return join(folder, `${site}.db`);
}

/** What the files of all buildings together begin with: accounts and certificate. No log book is called so. */
export function sharedIn(folder: string): string {
  return join(folder, 'nightproof');
}

function idsIn(folder: string): string[] {
  try {
    return readdirSync(folder).flatMap((name) => BOOK.exec(name)?.[1] ?? []);
  } catch {
    // The same as an empty one, for whoever gave it.
    return [];
  }
}

/** Whether log books were ever kept in a folder. */
export function hasLogbooks(folder: string): boolean {
  return idsIn(folder).length > 0;
}

/** Ids of the sites whose log books are in a folder. @throws Error with one sentence if there is none */
export function sitesIn(folder: string): string[] {
  const ids = idsIn(folder).sort();
  if (ids.length === 0)
    throw new Error(
      `There is no log book in the folder ${folder}; give the one that "serve --logbooks" keeps them in.`,
    );
  return ids;
}

/** Does the same for each; one that fails keeps it from none. @throws what the first threw, once all had their turn */
export async function eachOf<T>(all: readonly T[], work: (one: T) => Promise<void>): Promise<void> {
  const failures: unknown[] = [];
  for (const one of all) await work(one).catch((error: unknown) => failures.push(error));
  if (failures.length > 0) throw failures[0];
}
