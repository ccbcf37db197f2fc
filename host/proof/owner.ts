// Which site a log book belongs to: its checkpoints say so.
import type { Logbook } from '../logbook/logbook';
import type { Site } from '../site/model';
import { signedHead } from './checkpoint';
import { siteOfOrigin } from './hostKey';

/**
 * Refuses a log book that a host kept for another site; one that no host has signed yet is anybody's.
 * @param db its file
 * @throws Error with one sentence
 */
export async function expectOwn(
  { checkpoints }: Pick<Logbook, 'checkpoints'>,
  { id }: Pick<Site, 'id'>,
  db: string,
): Promise<void> {
  const latest = await checkpoints.latest();
  if (!latest) return;
  const owner = siteOfOrigin(signedHead(latest.text).origin);
  if (owner !== id)
    throw new Error(
      `The log book ${db} belongs to the site "${owner}", not to "${id}": name the site file of "${owner}", or give ` +
        `with --db the log book of "${id}" or a new file.`,
    );
}
