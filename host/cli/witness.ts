// `witness`: signs the checkpoints of other log books, and refuses those that contradict what it has seen.
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { nowSec, systemClock } from '../clock';
import { openKeys, sha256Raw } from '../keys';
import { witnessSigner } from '../proof/hostKey';
import { isKeyName, KeyType, keyText, parseKey, type VerifierKey } from '../proof/verifierKey';
import { startWitness } from '../witness/service';
import { openWitnessStore } from '../witness/store';
import { Mistake } from './arguments';
import { interrupted } from './interrupted';

export interface WitnessOptions {
  dir: string;
  name: string;
  log: string[];
  host: string;
  port: number;
}

function logKeys(texts: string[]): VerifierKey[] {
  return texts.map((text) => {
    const key = parseKey(text, sha256Raw);
    if (key.type === KeyType.Note) return key;
    throw new Mistake(`${key.name} is the key of a witness; --log takes the key of a log book.`);
  });
}

/**
 * Runs a witness until it is interrupted.
 * @returns the exit code. @throws Error with one sentence if a key is mistyped, or folder or port cannot be used.
 */
export async function witnessCommand(o: WitnessOptions): Promise<number> {
  if (!isKeyName(o.name) || o.name.length > 80)
    throw new Mistake('--name must be 1 to 80 characters without spaces or +, e.g. example.org/gatehouse.');
  const logs = logKeys(o.log);
  if (!existsSync(o.dir))
    throw new Mistake(`There is no folder ${o.dir}; create it, or give another with --dir.`);
  const signer = witnessSigner(openKeys(join(o.dir, 'witness.secret')), o.name);
  const store = openWitnessStore(join(o.dir, 'witness.db'));
  const onProblem = (sentence: string) => void process.stderr.write(`${sentence}\n`);
  const now = () => nowSec(systemClock);
  try {
    const server = await startWitness({ signer, logs, store, now, onProblem }, o);
    process.stdout.write(
      `Witness at ${server.url}, key ${keyText(signer.key)}\nGive hosts this address and key. Press Ctrl-C to stop.\n`,
    );
    await interrupted();
    await server.close();
  } finally {
    store.close();
  }
  return 0;
}
