// Orders, the host's memory, checkpoints, and what is asked of the tree.
import { risingNumber } from '../../../clock';
import type { CheckpointStore, LogTree, StoredCheckpoint, StoredStamp } from '../../checkpoints';
import { LogbookError, type MemoryStore, type OrderRow, type OrderStore } from '../../logbook';
import { ORDERS } from '../../own';
import { sealed, unsealed } from '../../sealed';
import { treeQuestions } from '../../tree/questions';
import type { Appender } from './append';
import { beginFenced } from './lock';
import type { Row, Session } from './session';

export function newOrderStore(session: Session, appender: Appender): OrderStore {
  const recent = `SELECT c.address, o.counter, o.what AS "do", o.arg, o.who, o.at, o.answer FROM orders o
    JOIN controllers c ON c.id = o.controller ORDER BY o.at DESC, o.counter DESC LIMIT $1`;
  return {
    take: (order) =>
      appender.writing(({ filing, draft }) => {
        const { address, at, do: what, arg, who, account } = order;
        const controller = filing.controller(address);
        const counter = risingNumber(draft.ask<number | null>('lastOrder', controller) ?? 0, at);
        draft.orders.push({ controller, counter, what, arg, who, at });
        const signed = account === undefined ? {} : { account };
        filing.own(address, ORDERS, at, { kind: 'ordered', counter, do: what, arg, who, ...signed });
        return counter;
      }),
    answer: (address, counter, answer, at) =>
      appender.writing(({ filing, draft }) => {
        const controller = filing.controller(address);
        if (!draft.ask('order', controller, counter)) return;
        draft.answers.push({ controller, counter, answer });
        filing.own(address, ORDERS, at, { kind: 'answered', counter, answer });
      }),
    recent: (limit) => session.rows<OrderRow>(recent, limit),
  };
}

/** Runs one statement that writes, as a host that still has the log book may. */
function written<T = Row>(session: Session, sql: string, ...values: unknown[]): Promise<T[]> {
  return session.use(async (client) => {
    await beginFenced(client, session.place, []);
    const { rows } = await client.query(sql, values);
    await client.query('COMMIT');
    return rows as T[];
  });
}

export function newMemoryStore(session: Session): MemoryStore {
  const rememberAll = async (texts: ReadonlyMap<string, string>): Promise<void> => {
    const put =
      'INSERT INTO memory SELECT * FROM unnest($1::text[], $2::text[]) ' +
      'ON CONFLICT (name) DO UPDATE SET text = excluded.text';
    const stored = [...texts].map(([name, text]) => sealed(name, text));
    await written(session, put, [...texts.keys()], stored);
  };
  return {
    async all() {
      const rows = await session.rows<{ name: string; text: string }>('SELECT name, text FROM memory');
      const texts = rows.map(({ name, text }) => [name, unsealed(name, text)] as const);
      return new Map(texts.filter((row): row is [string, string] => row[1] !== undefined));
    },
    remember: (name, text) => rememberAll(new Map([[name, text]])),
    rememberAll,
  };
}

type StampRow = StoredStamp & { size: number };

function bySize<T extends { size: number }>(rows: T[]): Map<number, T[]> {
  const found = new Map<number, T[]>();
  for (const row of rows) {
    const those = found.get(row.size);
    if (those) those.push(row);
    else found.set(row.size, [row]);
  }
  return found;
}

class Checkpoints implements CheckpointStore {
  constructor(private readonly session: Session) {}

  async add({ size, at, text }: Pick<StoredCheckpoint, 'size' | 'at' | 'text'>): Promise<void> {
    const put = 'INSERT INTO checkpoints VALUES ($1, $2, $3) ON CONFLICT (size) DO NOTHING RETURNING size';
    if ((await written(this.session, put, size, at, text)).length === 0)
      throw new LogbookError(`The log book has a checkpoint of ${size} entries already.`);
  }

  async latest(): Promise<StoredCheckpoint | undefined> {
    return (await this.read('ORDER BY size DESC LIMIT 1'))[0];
  }

  async at(size: number): Promise<StoredCheckpoint | undefined> {
    return (await this.read('WHERE size = $1', size))[0];
  }

  all(): Promise<StoredCheckpoint[]> {
    return this.read('ORDER BY size');
  }

  async cosign(size: number, line: string): Promise<void> {
    const put = 'INSERT INTO cosignatures (size, line) VALUES ($1, $2) ON CONFLICT DO NOTHING';
    await written(this.session, put, size, line);
  }

  async stamp(size: number, { url, at, token }: StoredStamp): Promise<void> {
    const put = 'INSERT INTO stamps (size, url, at, token) VALUES ($1, $2, $3, $4)';
    await written(this.session, put, size, url, at, Buffer.from(token));
  }

  private async read(which: string, ...values: unknown[]): Promise<StoredCheckpoint[]> {
    type Found = Pick<StoredCheckpoint, 'size' | 'at' | 'text'>;
    const rows = await this.session.rows<Found>(`SELECT size, at, text FROM checkpoints ${which}`, ...values);
    const sizes = rows.map(({ size }) => size);
    const of = 'WHERE size = ANY($1) ORDER BY id';
    const lines = await this.session.rows<{ size: number; line: string }>(
      `SELECT size, line FROM cosignatures ${of}`,
      sizes,
    );
    const stamps = await this.session.rows<StampRow>(`SELECT size, url, at, token FROM stamps ${of}`, sizes);
    const linesOf = bySize(lines);
    const stampsOf = bySize(stamps);
    return rows.map((row) => ({
      ...row,
      cosignatures: (linesOf.get(row.size) ?? []).map(({ line }) => line),
      stamps: (stampsOf.get(row.size) ?? []).map(({ url, at, token }) => ({
        ...{ url, at, token: new Uint8Array(token) },
      })),
    }));
  }
}

export function newCheckpointStore(session: Session): CheckpointStore {
  return new Checkpoints(session);
}

export function newLogTree(appender: Appender): LogTree {
  return {
    size: () => appender.reading((tiles) => tiles.size()),
    root: (size) => appender.reading((tiles) => treeQuestions(tiles).root(size)),
    inclusion: (entry, size) => appender.reading((tiles) => treeQuestions(tiles).inclusion(entry, size)),
    consistency: (from, to) => appender.reading((tiles) => treeQuestions(tiles).consistency(from, to)),
  };
}
