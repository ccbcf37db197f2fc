// `logbook proof`: the records of a luminaire as one HTML file that checks itself.
import { existsSync, writeFileSync } from 'node:fs';
import { allIdsOf } from '../house/rows/listed';
import { sha256Raw } from '../keys';
import type { StoredCheckpoint } from '../logbook/checkpoints';
import type { Logbook } from '../logbook/logbook';
import { toBase64 } from '../proof/bytes';
import { signedHead } from '../proof/checkpoint';
import { loadVerifier } from '../proof/file/assets';
import { collectProof } from '../proof/file/collect';
import { proofHtml } from '../proof/file/html';
import { NOTED_MIN } from '../proof/file/noted';
import { readSignatures } from '../proof/note';
import { witnessesOf } from '../serve/heads';
import { isDate, utcOf } from '../site/civil';
import type { Site } from '../site/model';
import { Mistake } from './arguments';
import { newestCheckpoint, signerOf, withLogbook } from './checkpoint';
import { luminaireNamed } from './named';

export interface ProofOptions {
  site: Site;
  luminaire: string;
  /** Local dates. */
  from: string;
  to: string;
  out: string;
  noted?: string;
  db: string;
}

/** The id meant, and every other id that luminaire has or had; one no longer in the site file stands for itself. */
function idsMeant(site: Site, asked: string): { luminaire: string; formerly: string[] } {
  const found = luminaireNamed(site, asked);
  if (!found) return { luminaire: asked, formerly: [] };
  return { luminaire: found.id, formerly: allIdsOf(found.luminaire).filter((id) => id !== found.id) };
}

/** The checkpoint with a root that someone noted. @throws Mistake if there is none. */
async function notedIn(logbook: Logbook, noted: string): Promise<StoredCheckpoint> {
  const typed = noted.replace(/\s/g, '').replace(/^\d+:/, '');
  if (typed.length < NOTED_MIN)
    throw new Mistake(`--noted needs at least the first ${NOTED_MIN} characters of the root.`);
  const all = await logbook.checkpoints.all();
  const found = all.find(({ text }) => toBase64(signedHead(text).root).startsWith(typed));
  if (found) return found;
  throw new Mistake(
    `No checkpoint of this log book has the root ${noted}. Look for a mistake in typing; if there is none, run "logbook verify --noted".`,
  );
}

function checkDates({ from, to }: ProofOptions): void {
  if (!isDate(from)) throw new Mistake('--from must be a real date as YYYY-MM-DD.');
  if (!isDate(to) || to < from)
    throw new Mistake('--to must be a real date as YYYY-MM-DD, not before --from.');
}

interface Made {
  text: string;
  entries: number;
  checkpoint: StoredCheckpoint;
  /** Names of witnesses of the site file that signed the checkpoint. */
  signedBy: string[];
  /** What to say about a checkpoint that no witness has signed. */
  advice: string[];
}

/** Names of the witnesses in the site file that signed a checkpoint. */
function signersOf({ cosignatures }: StoredCheckpoint, site: Site): string[] {
  const names = cosignatures.flatMap((line) => readSignatures(line).map(({ name }) => name));
  return witnessesOf(site).flatMap(({ key: { name } }) => (names.includes(name) ? [name] : []));
}

/**
 * A proof under the newest checkpoint that a witness signed, if all wanted records are in it; otherwise under the
 * newest.
 */
async function collect(o: ProofOptions, logbook: Logbook): Promise<Made> {
  const { site, from, to } = o;
  const newest = await newestCheckpoint(o.db, logbook);
  const { origin } = signedHead(newest.text);
  const earlier = o.noted === undefined ? undefined : await notedIn(logbook, o.noted);
  const make = (checkpoint: StoredCheckpoint) =>
    collectProof({
      ...{ logbook, signer: signerOf(o.db, origin), checkpoint },
      witnesses: witnessesOf(site).map(({ key }) => key),
      about: {
        ...idsMeant(site, o.luminaire),
        from,
        to,
        ...{ zone: site.timeZone, building: site.name },
      },
      from: utcOf(site.timeZone, from, 0, 'start'),
      to: utcOf(site.timeZone, to, 24 * 60, 'end'),
      ...(earlier && { earlier }),
    });
  const proof = await make(newest);
  const made = (checkpoint: StoredCheckpoint, text: string, advice: string[]): Made => ({
    ...{ text, entries: proof.entries, checkpoint, signedBy: signersOf(checkpoint, site), advice },
  });
  const all = await logbook.checkpoints.all();
  const witnessed = all.findLast((one) => signersOf(one, site).length > 0);
  if (!witnessed || witnessed === newest || signersOf(newest, site).length > 0)
    return made(newest, proof.text, []);
  if (witnessed.size >= Math.max(proof.last, earlier?.size ?? 0))
    return made(witnessed, (await make(witnessed)).text, []);
  return made(newest, proof.text, [
    `The newest checkpoint that a witness signed covers only the first ${witnessed.size} entries, and the last record here is entry ${proof.last}. ` +
      'Make the proof again once the witness has signed, or with an earlier --to.',
  ]);
}

/** @returns the exit code. @throws Error with one sentence if there is nothing to prove, or no file can be written. */
export async function proofCommand(o: ProofOptions): Promise<number> {
  checkDates(o);
  if (existsSync(o.out))
    throw new Mistake(`--out ${o.out}: this file already exists; name a new one or delete it first.`);
  const { text, entries, checkpoint, signedBy, advice } = await withLogbook(o.db, (logbook) =>
    collect(o, logbook),
  );
  const hashOf = (part: string) => toBase64(sha256Raw(part));
  const html = proofHtml(text, `Proof of luminaire ${o.luminaire}`, await loadVerifier(), hashOf);
  try {
    writeFileSync(o.out, html, { flag: 'wx' });
  } catch (error) {
    throw new Mistake(
      `--out ${o.out}: the file cannot be written (${(error as NodeJS.ErrnoException).code}).`,
    );
  }
  const witnesses = signedBy.length === 0 ? 'no witness' : `the witness ${signedBy.join(' and ')}`;
  const lines = [
    `${o.out}: ${entries} records, under the checkpoint of ${checkpoint.size} entries, signed by the host and ${witnesses}.`,
    ...advice,
  ];
  process.stdout.write(`${lines.join('\n')}\n`);
  return 0;
}
