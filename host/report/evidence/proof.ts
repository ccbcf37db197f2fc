// The proof that stands beside the records of a report, as JSON: the hashes that lead from the records to the root on
// every sheet, and from the newest signed checkpoint to the same root.
import { z } from 'zod';

export const FORMAT = 'nightproof evidence 1';

/** Names of the files inside a report. */
export const FILES = {
  records: 'records.jsonl',
  proof: 'proof.json',
  checkpoint: 'checkpoint.txt',
  results: 'results.csv',
} as const;

const hash = z.string().regex(/^[A-Za-z0-9+/]{43}=$/);

export const proofSchema = z.object({
  format: z.literal(FORMAT),
  site: z.string(),
  /** Local dates. */
  from: z.string(),
  to: z.string(),
  /** Entries of the log book, and the root over them, base64. */
  size: z.number().int().min(0),
  root: hash,
  /** Hashes of the parts of the tree without any of the records, from left to right. */
  hashes: z.array(hash),
  /** Public key of the host, as verifiers take it. */
  key: z.string(),
  /** The signed checkpoint in the file beside, and the proof that the log book still begins with it. */
  checkpoint: z.object({ size: z.number().int().min(1), consistency: z.array(hash) }).nullable(),
});

export type EvidenceProof = z.infer<typeof proofSchema>;

/** One line of the records: just what the tree is made of. */
export const lineSchema = z.object({
  entry: z.number().int().min(1),
  address: z.string(),
  /** UTC second. */
  at: z.number().int(),
  body: z.string(),
});
