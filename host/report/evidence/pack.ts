// What a report rests on, as files inside it: the log book's own texts, the proof that they are in the log book, the
// newest signed checkpoint, and the table of all results.
import type { Logbook } from '../../logbook/logbook';
import { toBase64 } from '../../proof/bytes';
import { witnessedNote } from '../../proof/checkpoint';
import { otherHashes } from '../../proof/file/parts';
import { resultsTable } from '../csv';
import type { Attachment } from '../document';
import type { Report } from '../report';
import type { Turns } from '../turns';
import { type EvidenceProof, FILES, FORMAT } from './proof';

/** Entries read at once. */
const SLICE = 200;

/** The texts of these entries, one JSON object a line. @param numbers rising */
async function recordLines(
  logbook: Pick<Logbook, 'after'>,
  numbers: readonly number[],
  turns: Turns,
): Promise<Buffer> {
  const lines: Buffer[] = [];
  for (let next = 0; next < numbers.length; ) {
    const slice = await logbook.after(numbers[next] - 1, SLICE);
    for (const { entry, address, at, body } of slice) {
      if (entry !== numbers[next]) continue;
      lines.push(Buffer.from(`${JSON.stringify({ entry, address, at, body })}\n`));
      next++;
    }
    const others = turns();
    if (others) await others;
  }
  return Buffer.concat(lines);
}

async function proofOf({ site, period, logbook, found, book }: Report): Promise<EvidenceProof> {
  const { tree } = logbook;
  const { size, root, key, checkpoint } = book;
  const { sources } = found;
  const hashes =
    sources.length > 0 ? await otherHashes(size, sources, (entry, of) => tree.inclusion(entry, of)) : [];
  return {
    ...{ format: FORMAT, site: site.id, from: period.from, to: period.to, size, root, key },
    hashes: hashes.map(toBase64),
    checkpoint: checkpoint?.isTrue
      ? { size: checkpoint.size, consistency: (await tree.consistency(checkpoint.size, size)).map(toBase64) }
      : null,
  };
}

async function tableOf(report: Report): Promise<Buffer> {
  const parts: Buffer[] = [];
  for await (const part of resultsTable(report)) parts.push(Buffer.from(part));
  return Buffer.concat(parts);
}

/** The files for inside a report. */
export async function packOf(report: Report): Promise<Attachment[]> {
  const { logbook, found, book, turns } = report;
  const { checkpoint } = book;
  return [
    {
      ...{ name: FILES.records, type: 'application/jsonl', relationship: 'Source' },
      description: 'The records of the period, as they stand in the log book',
      data: await recordLines(logbook, found.sources, turns),
    },
    {
      ...{ name: FILES.proof, type: 'application/json', relationship: 'Supplement' },
      description: 'Proof that these records are in the log book',
      data: Buffer.from(`${JSON.stringify(await proofOf(report))}\n`),
    },
    ...(checkpoint
      ? [
          {
            ...{ name: FILES.checkpoint, type: 'text/plain', relationship: 'Supplement' as const },
            description: 'The newest signed checkpoint of the log book',
            data: Buffer.from(witnessedNote(checkpoint.stored)),
          },
        ]
      : []),
    {
      ...{ name: FILES.results, type: 'text/csv', relationship: 'Data' },
      description: 'Every result of the period as a table',
      data: await tableOf(report),
    },
  ];
}
