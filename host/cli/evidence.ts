// `logbook evidence`: checks the records that a report contains, once they were saved from it.
import { existsSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { readNoted } from '../logbook/verify/noted';
import { fromBase64, sameBytes } from '../proof/bytes';
import { checkEvidence, type EvidenceFound } from '../report/evidence/check';
import { FILES } from '../report/evidence/proof';
import { Mistake } from './arguments';

export interface EvidenceFlags {
  /** Root on the sheets of the report. */
  noted: string[];
  witness: string[];
}

const isFile = (file: string): boolean => existsSync(file) && statSync(file).isFile();

function read(folder: string, name: string): string {
  const file = join(folder, name);
  if (isFile(file)) return readFileSync(file, 'utf8');
  throw new Mistake(
    `There is no file ${file}; save the files of the report with "pdfdetach -saveall -o FOLDER REPORT.pdf".`,
  );
}

function checkNoted({ proof }: EvidenceFound, noted: readonly string[]): void {
  for (const text of noted) {
    const { root, size } = readNoted(text);
    if (!sameBytes(root, fromBase64(proof.root, 'The root')) || (size ?? proof.size) !== proof.size)
      throw new Mistake(`The records are not those of a report with the root ${text.trim()}.`);
  }
}

function signatureWords({ records, newer, signed, signers }: EvidenceFound): string {
  if (signed === 0) return 'No checkpoint was signed yet, so nobody outside stands by it.';
  const beyond = newer === 0 ? '' : ` ${newer} of the ${records} records are newer than it.`;
  return `It begins with the ${signed} entries of the signed checkpoint (${signers.join(', ')}).${beyond}`;
}

function tableWords({ lines }: EvidenceFound): string {
  if (lines === undefined) return `Not checked: the sheets, and ${FILES.results}, which is not there.`;
  return (
    `The ${lines} lines of ${FILES.results} are as the records say; places, rated durations and new ids are those of the ` +
    'site file. Not checked: the sheets. Compare with the records what matters.'
  );
}

function words(found: EvidenceFound, isNoted: boolean): string[] {
  const { proof, records } = found;
  return [
    `${records} records are as they stand in a log book of ${proof.size} entries.`,
    `Its root is ${proof.root}: ${isNoted ? 'the one given' : 'compare it with the one at the foot of every sheet'}.`,
    signatureWords(found),
    `The host's key is ${proof.key}; the page of the host shows it.`,
    `That they are all records of ${proof.site} from ${proof.from} to ${proof.to} is what the report says; only the log book shows that.`,
    tableWords(found),
  ];
}

/** @returns the exit code: 0 if all of it holds, 1 if not */
export async function evidenceCommand(folder: string, { noted, witness }: EvidenceFlags): Promise<number> {
  const files = {
    records: read(folder, FILES.records),
    proof: read(folder, FILES.proof),
    ...(existsSync(join(folder, FILES.results)) && { results: read(folder, FILES.results) }),
    ...(existsSync(join(folder, FILES.checkpoint)) && { checkpoint: read(folder, FILES.checkpoint) }),
  };
  const found = await checkEvidence(files, witness);
  checkNoted(found, noted);
  process.stdout.write(`${words(found, noted.length > 0).join('\n')}\n`);
  return 0;
}
