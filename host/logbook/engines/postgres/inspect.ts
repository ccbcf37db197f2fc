// A log book in a database as it stands: what is read is a copy in a file, made in one view of the database, so that
// everything is looked at as of one moment and by the same code, whatever the host writes meanwhile.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Inspected } from '../../inspect';
import { LogbookError } from '../../logbook';
import { inspectSqlite } from '../sqlite/inspect';
import type { Place } from './address';
import { copyPostgres } from './copy';
import { versionOf } from './schema';
import { Session } from './session';

/** Whether a log book was ever kept there. @throws LogbookError with one sentence if that cannot be known */
export async function isPostgresThere(place: Place): Promise<boolean> {
  const session = new Session(place);
  try {
    return await session.use(async (client) => (await versionOf(client, place)) > 0);
  } finally {
    await session.close();
  }
}

/** @throws LogbookError with one sentence if there is none, or it is foreign, newer or does not answer */
export async function inspectPostgres(place: Place): Promise<Inspected> {
  if (!(await isPostgresThere(place))) throw new LogbookError(`There is no log book ${place.shown}.`);
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-inspect-'));
  const remove = (): void => rmSync(folder, { recursive: true, force: true });
  try {
    const file = join(folder, 'copy.db');
    const faults = await copyPostgres(place, file);
    const copy = inspectSqlite(file);
    return {
      ...copy,
      storage: () => [...faults, ...copy.storage()],
      close() {
        copy.close();
        remove();
      },
    };
  } catch (error) {
    remove();
    throw error;
  }
}
