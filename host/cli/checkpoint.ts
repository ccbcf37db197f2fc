// `logbook checkpoint`: the newest signed head of a log book, and the key that signed it.
import { existsSync } from 'node:fs';
import { openKeys, secretFileOf } from '../keys';
import type { StoredCheckpoint } from '../logbook/checkpoints';
import { isLogbookThere, openLogbook } from '../logbook/engines/open';
import type { Logbook } from '../logbook/logbook';
import { signedHead, witnessedNote } from '../proof/checkpoint';
import type { NoteSigner } from '../proof/ed25519';
import { hostSigner, siteOfOrigin } from '../proof/hostKey';
import { keyText } from '../proof/verifierKey';
import { Mistake } from './arguments';

/** Runs `work` on a log book that exists. @throws Mistake if it does not, LogbookError if it cannot be read. */
export async function withLogbook<T>(db: string, work: (logbook: Logbook) => Promise<T>): Promise<T> {
  if (!(await isLogbookThere(db))) throw new Mistake(`There is no log book ${db}; give its file with --db.`);
  const logbook = await openLogbook(db);
  try {
    return await work(logbook);
  } finally {
    await logbook.close();
  }
}

/** The newest checkpoint. @throws Mistake if there is none yet. */
export async function newestCheckpoint(db: string, logbook: Logbook): Promise<StoredCheckpoint> {
  const latest = await logbook.checkpoints.latest();
  if (latest) return latest;
  throw new Mistake(`The log book ${db} has no checkpoint yet; run "serve" on it once, which signs one.`);
}

/** The key of the host whose log book this is. @throws Mistake if its secret is not beside it. */
export function signerOf(db: string, origin: string): NoteSigner {
  const secret = secretFileOf(db);
  if (!existsSync(secret))
    throw new Mistake(`The secret ${secret} is missing; it belongs beside the log book.`);
  return hostSigner(openKeys(secret), siteOfOrigin(origin));
}

/** @returns the exit code. @throws Error with one sentence if there is no log book, no checkpoint or no secret. */
export function checkpointCommand(db: string): Promise<number> {
  return withLogbook(db, async (logbook) => {
    const checkpoint = await newestCheckpoint(db, logbook);
    const { origin } = signedHead(checkpoint.text);
    process.stdout.write(`${witnessedNote(checkpoint)}\nkey ${keyText(signerOf(db, origin).key)}\n`);
    return 0;
  });
}
