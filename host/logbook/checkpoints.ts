// The tree over all entries of a log book, and the signed heads of it that were given away.

/** Entry number n is leaf n - 1. Hashes are 32 bytes. */
export interface LogTree {
  size(): Promise<number>;
  /** Root over the first `size` entries; over all without one. */
  root(size?: number): Promise<Uint8Array>;
  /** Proof that entry `entry`, from 1, is among the first `size`: RFC 6962 section 2.1.1 (2013). */
  inclusion(entry: number, size: number): Promise<Uint8Array[]>;
  /** Proof that the first `to` entries begin with the first `from`: RFC 6962 section 2.1.2 (2013). */
  consistency(from: number, to: number): Promise<Uint8Array[]>;
}

/** What a time stamp server answered for a checkpoint. */
export interface StoredStamp {
  url: string;
  /** UTC second at which it came. */
  at: number;
  /** Its TimeStampResp, DER (RFC 3161, 2001). */
  token: Uint8Array;
}

export interface StoredCheckpoint {
  size: number;
  /** UTC second at which it was signed. */
  at: number;
  /** The signed note. */
  text: string;
  /** Cosignature lines of witnesses, each with its newline, oldest first. */
  cosignatures: string[];
  stamps: StoredStamp[];
}

/** Append-only; everything is durable on return. */
export interface CheckpointStore {
  add(checkpoint: Pick<StoredCheckpoint, 'size' | 'at' | 'text'>): Promise<void>;
  latest(): Promise<StoredCheckpoint | undefined>;
  at(size: number): Promise<StoredCheckpoint | undefined>;
  /** Oldest first. */
  all(): Promise<StoredCheckpoint[]>;
  cosign(size: number, line: string): Promise<void>;
  stamp(size: number, stamp: StoredStamp): Promise<void>;
}

/** What of a log book the checkpoints need. */
export interface CheckpointBook {
  tree: LogTree;
  checkpoints: CheckpointStore;
}
