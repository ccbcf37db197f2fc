// Orders and the host's small memory, stored in the same file as the log book.
import { risingNumber } from '../../../clock';
import type { OrderRow } from '../../logbook';
import { type Db, inTransaction } from './schema';

export function newOrderStore(db: Db, controller: (address: string) => number) {
  const last = db.prepare('SELECT max(counter) AS n FROM orders WHERE controller = ?');
  const insert = db.prepare('INSERT INTO orders VALUES (?, ?, ?, ?, ?, ?, ?)');
  const answer = db.prepare('UPDATE orders SET answer = ? WHERE controller = ? AND counter = ?');
  const recent = db.prepare(
    'SELECT c.address, o.counter, o.what AS "do", o.arg, o.who, o.at, o.answer FROM orders o ' +
      'JOIN controllers c ON c.id = o.controller ORDER BY o.at DESC, o.counter DESC LIMIT ?',
  );
  return {
    take(order: Omit<OrderRow, 'counter' | 'answer'>): number {
      return inTransaction(db, () => {
        const id = controller(order.address);
        const before = (last.get(id) as { n: number | null }).n ?? 0;
        const counter = risingNumber(before, order.at);
        insert.run(id, counter, order.do, order.arg, order.who, order.at, '');
        return counter;
      });
    },
    answer(address: string, counter: number, text: string): void {
      inTransaction(db, () => answer.run(text, controller(address), counter));
    },
    recent: (limit: number) => recent.all(limit) as OrderRow[],
  };
}

export function newMemoryStore(db: Db) {
  const all = db.prepare('SELECT name, text FROM memory');
  const remember = db.prepare(
    'INSERT INTO memory VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET text = excluded.text',
  );
  return {
    all(): Map<string, string> {
      const rows = all.all() as { name: string; text: string }[];
      return new Map(rows.map(({ name, text }) => [name, text]));
    },
    remember(name: string, text: string): void {
      remember.run(name, text);
    },
  };
}
