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
import { witnessesOf } from '../serve/heads';
import { isDate, utcOf } from '../site/civil';
import type { Site } from '../site/model';
import { Mistake } from './arguments';
import { newestCheckpoint, signerOf, withLogbook } from './checkpoint';

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

/** Every other id that the luminaire has or had; one no longer in the site file stands for itself. */
function formerIds(site: Site, luminaire: string): string[] {
  const lamps = site.circuits.flatMap(({ luminaires }) => luminaires);
  const lamp = lamps.find((one) => allIdsOf(one).includes(luminaire));
  return lamp ? allIdsOf(lamp).filter((id) => id !== luminaire) : [];
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

async function collect(o: ProofOptions, logbook: Logbook) {
  const { site, luminaire, from, to } = o;
  const checkpoint = await newestCheckpoint(o.db, logbook);
  const { origin } = signedHead(checkpoint.text);
  const earlier = o.noted === undefined ? undefined : await notedIn(logbook, o.noted);
  const proof = await collectProof({
    ...{ logbook, signer: signerOf(o.db, origin), checkpoint },
    witnesses: witnessesOf(site).map(({ key }) => key),
    about: {
      ...{ luminaire, formerly: formerIds(site, luminaire), from, to },
      ...{ zone: site.timeZone, building: site.name },
    },
    from: utcOf(site.timeZone, from, 0, 'start'),
    to: utcOf(site.timeZone, to, 24 * 60, 'end'),
    ...(earlier && { earlier }),
  });
  return { ...proof, size: checkpoint.size, witnesses: checkpoint.cosignatures.length };
}

/** @returns the exit code. @throws Error with one sentence if there is nothing to prove, or no file can be written. */
export async function proofCommand(o: ProofOptions): Promise<number> {
  checkDates(o);
  if (existsSync(o.out))
    throw new Mistake(`--out ${o.out}: this file already exists; name a new one or delete it first.`);
  const { text, entries, size, witnesses } = await withLogbook(o.db, (logbook) => collect(o, logbook));
  const hashOf = (part: string) => toBase64(sha256Raw(part));
  const html = proofHtml(text, `Proof of luminaire ${o.luminaire}`, await loadVerifier(), hashOf);
  try {
    writeFileSync(o.out, html, { flag: 'wx' });
  } catch (error) {
    throw new Mistake(
      `--out ${o.out}: the file cannot be written (${(error as NodeJS.ErrnoException).code}).`,
    );
  }
  const signed = witnesses === 1 ? '1 witness' : `${witnesses} witnesses`;
  process.stdout.write(
    `${o.out}: ${entries} records of a log book of ${size} entries, signed by the host and ${signed}.\n`,
  );
  return 0;
}
