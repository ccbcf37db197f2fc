// `logbook verify`: recomputes everything a log book claims and names the first record that does not match.
import { existsSync } from 'node:fs';
import { type KeyRing, openKeys, secretFileOf } from '../keys';
import { openLogbook } from '../logbook/engines/open';
import type { Verification } from '../logbook/logbook';

interface Verified {
  verification: Verification;
  signatures: boolean;
}

async function verifyFile(db: string): Promise<Verified> {
  if (!existsSync(db)) throw new Error(`There is no log book ${db}; give its file with --db.`);
  const secret = secretFileOf(db);
  const keys: KeyRing | undefined = existsSync(secret) ? openKeys(secret) : undefined;
  const logbook = await openLogbook(db);
  try {
    return { verification: await logbook.verify(keys), signatures: keys !== undefined };
  } finally {
    await logbook.close();
  }
}

function sentence(db: string, { verification: v, signatures }: Verified): string {
  if (v.broken) return `The log book ${db} is not intact. ${v.broken.why}`;
  const signed = signatures
    ? 'and every signature'
    : `(signatures not checked: ${secretFileOf(db)} is missing)`;
  return `The log book ${db} is intact: ${v.entries} entries, every chain ${signed} checked. Last hash ${v.finalHash}`;
}

/**
 * Verifies the log book in `db` and prints the outcome.
 * @returns the exit code: 0 if it is intact, 1 if it is not or cannot be read
 */
export async function verifyCommand(db: string, json: boolean): Promise<number> {
  try {
    const found = await verifyFile(db);
    const valid = found.verification.valid;
    if (json)
      process.stdout.write(`${JSON.stringify({ ...found.verification, signatures: found.signatures })}\n`);
    else (valid ? process.stdout : process.stderr).write(`${sentence(db, found)}\n`);
    return valid ? 0 : 1;
  } catch (error) {
    process.stderr.write(`${(error as Error).message}\n`);
    return 1;
  }
}
