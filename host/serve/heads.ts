// The checkpoints of the running host: who is to see them, and after which records one is due.
import { TestKind } from '../../firmware/contract/codes';
import type { AnyRecord } from '../../firmware/contract/messages';
import { type CheckpointKeeper, createKeeper } from '../checkpoints/keeper';
import { newStamper } from '../checkpoints/stamper';
import { type KeyRing, sha256Raw } from '../keys';
import type { CheckpointBook } from '../logbook/checkpoints';
import { hostSigner } from '../proof/hostKey';
import { KeyType, parseKey } from '../proof/verifierKey';
import type { Site } from '../site/model';
import type { WitnessPlace } from '../witness/client';

/** Longest wait for a time stamp server, ms. */
const STAMP_PATIENCE_MS = 10_000;

/** Whether a record ends a duration test, whole or limited. */
export function isLongResult(record: AnyRecord): boolean {
  return record.kind === 'result' && (record.type === TestKind.Full || record.type === TestKind.Limited);
}

/** The witnesses of a site. @throws Error with one sentence if a key is mistyped or of another kind. */
export function witnessesOf({ witnesses = [] }: Site): WitnessPlace[] {
  return witnesses.map(({ url, key: text }) => {
    const key = parseKey(text, sha256Raw);
    if (key.type === KeyType.Cosignature) return { url, key };
    throw new Error(
      `${key.name} is not the key of a witness; give the one that "nightproof witness" prints.`,
    );
  });
}

export interface HeadsOptions {
  site: Site;
  logbook: CheckpointBook;
  keys: KeyRing;
  /** UTC second. */
  now(): number;
  onProblem(sentence: string): void;
}

/** Signs a checkpoint if anything is new, and takes it to the witnesses in the background. */
export async function startKeeper({
  site,
  logbook,
  keys,
  now,
  onProblem,
}: HeadsOptions): Promise<CheckpointKeeper> {
  const keeper = createKeeper({
    ...{ book: logbook, signer: hostSigner(keys, site.id), witnesses: witnessesOf(site) },
    errands: (site.timeStamps ?? []).map((url) =>
      newStamper({ url, book: logbook, patienceMs: STAMP_PATIENCE_MS, now }),
    ),
    ...{ now, onProblem },
  });
  await keeper.make();
  void keeper.look();
  return keeper;
}
