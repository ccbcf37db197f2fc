// What a log book must hold: every record that it has acknowledged, once and as the controller wrote it. Read from
// the file by plain SQL, past the program that wrote it, and from a copy, so that the next host finds it as it lay.
import { copyFileSync, existsSync, mkdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'libsql';
import { type Ledger, macOf } from '../../../simulator/campaign/ledger';

/** Journals of the log book's own: orders, answers, and what was kept apart. */
const OWN = ['orders', 'kept'];

/** Signatures of the records in a log book, by controller and journal, then by number. */
export type Held = Map<string, Map<number, string>>;

export interface Contents {
  held: Held;
  /** Records that stand in it twice, or were kept apart. */
  odd: string[];
}

interface Row {
  address: string;
  journal: string;
  seq: number;
  body: Uint8Array;
}

/** All in a log book as it lies there. @throws Error if it cannot be read */
export function contentsOf(file: string, scratch: string): Contents {
  const contents: Contents = { held: new Map(), odd: [] };
  if (!existsSync(file)) return contents;
  const copy = join(scratch, 'copy.db');
  rmSync(scratch, { recursive: true, force: true });
  mkdirSync(scratch);
  copyFileSync(file, copy);
  for (const end of ['-wal', '-journal']) if (existsSync(file + end)) copyFileSync(file + end, copy + end);
  const db = new Database(copy);
  try {
    if (!db.prepare("SELECT 1 FROM sqlite_master WHERE name = 'evidence'").get()) return contents;
    const all = db.prepare(
      'SELECT address, journal, seq, CAST(body AS BLOB) AS body FROM entries NOT INDEXED ' +
        'JOIN controllers ON controllers.id = entries.controller',
    );
    for (const { address, journal, seq, body } of all.iterate() as Iterable<Row>) {
      if (OWN.includes(journal)) continue;
      const name = `${address} ${journal}`;
      const records = contents.held.get(name) ?? new Map<number, string>();
      contents.held.set(name, records);
      if (records.has(seq)) contents.odd.push(`record ${seq} of ${name} stands in the log book twice`);
      records.set(seq, macOf(Buffer.from(body).toString('latin1')));
    }
    for (const { why } of db.prepare('SELECT why FROM evidence').all() as { why: string }[])
      contents.odd.push(`a record was kept apart: ${why}`);
    return contents;
  } finally {
    db.close();
  }
}

export class Account {
  /** Newest record acknowledged, by controller and journal. */
  private readonly acked = new Map<string, number>();
  /** Acknowledged after the backup that was restored, and not sent again. */
  private readonly newer = new Map<string, Set<number>>();

  constructor(private readonly ledgerOf: (address: string) => Ledger) {}

  /** The host has acknowledged records up to this one. @returns what that breaks, or '' */
  acknowledged(address: string, journal: string, through: number): string {
    const name = `${address} ${journal}`;
    this.acked.set(name, Math.max(through, this.acked.get(name) ?? 0));
    return through > this.ledgerOf(address).through(journal)
      ? `I4 the host acknowledged record ${through} of ${name}, which never came`
      : '';
  }

  acknowledgedRecords(): number {
    return [...this.acked.values()].reduce((sum, n) => sum + n, 0);
  }

  newerThanBackup(): number {
    return [...this.newer.values()].reduce((sum, { size }) => sum + size, 0);
  }

  /** Acknowledged records that a log book lacks, apart from those known to be missing. */
  private lacking(held: Held): { name: string; seq: number }[] {
    const lacks = [...this.acked].flatMap(([name, last]) =>
      Array.from({ length: last }, (_, i) => ({ name, seq: i + 1 })),
    );
    return lacks.filter(({ name, seq }) => !held.get(name)?.has(seq) && !this.newer.get(name)?.has(seq));
  }

  /** An older log book takes the place of the one that is lost. */
  restored({ held }: Contents): void {
    for (const { name, seq } of this.lacking(held)) {
      const numbers = this.newer.get(name) ?? new Set();
      this.newer.set(name, numbers.add(seq));
    }
  }

  /** @returns one sentence for each thing that is wrong, and how many acknowledged records are lost */
  check({ held, odd }: Contents): { wrong: string[]; lost: number } {
    const wrong = odd.map((what) => `I4 ${what}`);
    for (const [name, records] of held) {
      const [address, journal] = name.split(' ');
      const ledger = this.ledgerOf(address);
      for (const [seq, mac] of records) {
        const known = ledger.mac(journal, seq);
        if (known !== undefined && known !== mac)
          wrong.push(`I4 record ${seq} of ${name} is another in the log book`);
      }
    }
    const lost = this.lacking(held);
    for (const { name, seq } of lost.slice(0, 1))
      wrong.push(`I4 ${lost.length} acknowledged records are not in the log book: record ${seq} of ${name}`);
    return { wrong, lost: lost.length };
  }

  /**
   * At the end: what was written long enough ago must have been acknowledged, what is stored must have been sent, and
   * what an older log book lacked must have come again if the controller still has it.
   */
  settle(
    { held }: Contents,
    written: ReadonlyMap<string, number>,
    kept: ReadonlyMap<string, number>,
  ): { wrong: string[]; neverAgain: number } {
    const wrong: string[] = [];
    for (const [name, last] of written)
      if ((this.acked.get(name) ?? 0) < last)
        wrong.push(`I4 record ${last} of ${name} was never acknowledged`);
    for (const [name, records] of held) {
      const [address, journal] = name.split(' ');
      for (const seq of records.keys())
        if (this.ledgerOf(address).mac(journal, seq) === undefined)
          wrong.push(`I4 record ${seq} of ${name} is in the log book and never came`);
    }
    let neverAgain = 0;
    for (const [name, numbers] of this.newer)
      for (const seq of numbers) {
        if (held.get(name)?.has(seq)) continue;
        neverAgain++;
        if (seq > (kept.get(name) ?? Number.POSITIVE_INFINITY))
          wrong.push(`I4 record ${seq} of ${name} was not sent again to the restored log book`);
      }
    return { wrong, neverAgain };
  }
}

/** Ranges of numbers that journals in a log book lack before their newest record, as sentences of `verify`. */
export function gapsIn(held: Held): string[] {
  return [...held].flatMap(([name, records]) => {
    const [address, journal] = name.split(' ');
    const gaps: string[] = [];
    let before = 0;
    for (const seq of [...records.keys()].sort((a, b) => a - b)) {
      const range = seq === before + 2 ? `record ${before + 1}` : `records ${before + 1} to ${seq - 1}`;
      if (seq > before + 1) gaps.push(`The log book lacks ${range} of journal ${journal} of ${address},`);
      before = seq;
    }
    return gaps;
  });
}
