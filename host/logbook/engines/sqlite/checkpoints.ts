// Checkpoints, what witnesses and time stamp servers said of them, and the tree they are about.
import { type Db, inTransaction } from '../../../sqlite';
import type { StoredCheckpoint, StoredStamp } from '../../checkpoints';
import { treeQuestions } from '../../tree/questions';
import type { Tiles } from '../../tree/tiles';
import { bytes, bytesIn, textIn, whole } from './columns';

type Row = Record<string, unknown>;

export function newCheckpointStore(db: Db) {
  const columns = `SELECT size, ${whole('at')}, ${bytes('text')} FROM checkpoints`;
  const insert = db.prepare('INSERT INTO checkpoints VALUES (?, ?, ?)');
  const latest = db.prepare(`${columns} ORDER BY size DESC LIMIT 1`);
  const one = db.prepare(`${columns} WHERE size = ?`);
  const all = db.prepare(`${columns} ORDER BY size`);
  const lines = db.prepare(`SELECT ${bytes('line')} FROM cosignatures WHERE size = ? ORDER BY id`);
  const cosign = db.prepare('INSERT OR IGNORE INTO cosignatures (size, line) VALUES (?, ?)');
  const stamps = db.prepare(
    `SELECT ${bytes('url')}, ${whole('at')}, ${bytes('token')} FROM stamps WHERE size = ? ORDER BY id`,
  );
  const stamp = db.prepare('INSERT INTO stamps (size, url, at, token) VALUES (?, ?, ?, ?)');
  const stored = (row: unknown): StoredCheckpoint => {
    const { size, at, text } = row as Row;
    return {
      size: Number(size),
      at: Number(at),
      text: textIn(text),
      cosignatures: (lines.all(size) as Row[]).map(({ line }) => textIn(line)),
      stamps: (stamps.all(size) as Row[]).map(toStamp),
    };
  };
  const find = (row: unknown): StoredCheckpoint | undefined => (row === undefined ? undefined : stored(row));
  return {
    add({ size, at, text }: Pick<StoredCheckpoint, 'size' | 'at' | 'text'>): void {
      inTransaction(db, () => insert.run(size, at, text));
    },
    latest: () => find(latest.get()),
    at: (size: number) => find(one.get(size)),
    all: (): StoredCheckpoint[] => (all.all() as unknown[]).map(stored),
    cosign(size: number, line: string): void {
      inTransaction(db, () => cosign.run(size, line));
    },
    stamp(size: number, { url, at, token }: StoredStamp): void {
      inTransaction(db, () => stamp.run(size, url, at, token));
    },
  };
}

function toStamp({ url, at, token }: Row): StoredStamp {
  return { url: textIn(url), at: Number(at), token: new Uint8Array(bytesIn(token)) };
}

export function newLogTree(tiles: () => Tiles) {
  return {
    size: () => tiles().size(),
    root: (size?: number) => treeQuestions(tiles()).root(size),
    inclusion: (entry: number, size: number) => treeQuestions(tiles()).inclusion(entry, size),
    consistency: (from: number, to: number) => treeQuestions(tiles()).consistency(from, to),
  };
}
