// Orders and the small memory of the host, beside the log book in the same file.
import { risingNumber } from '../../clock';
import type { Memory, OrderRow, OrderStore } from '../logbook';
import { type Db, inTransaction } from './schema';

export function newOrderStore(db: Db, controller: (address: string) => number): OrderStore {
  const last = db.prepare('SELECT max(counter) AS n FROM orders WHERE controller = ?');
  const insert = db.prepare('INSERT INTO orders VALUES (?, ?, ?, ?, ?, ?, ?)');
  const answer = db.prepare('UPDATE orders SET answer = ? WHERE controller = ? AND counter = ?');
  const recent = db.prepare(
    'SELECT c.address, o.counter, o.what AS "do", o.arg, o.who, o.at, o.answer FROM orders o ' +
      'JOIN controllers c ON c.id = o.controller ORDER BY o.at DESC, o.counter DESC LIMIT ?',
  );
  return {
    take(order) {
      return inTransaction(db, () => {
        const id = controller(order.address);
        const before = (last.get(id) as { n: number | null }).n ?? 0;
        const counter = risingNumber(before, order.at);
        insert.run(id, counter, order.do, order.arg, order.who, order.at, '');
        return counter;
      });
    },
    answer(address, counter, text) {
      inTransaction(db, () => answer.run(text, controller(address), counter));
    },
    recent: (limit) => recent.all(limit) as OrderRow[],
  };
}

export function newMemory(db: Db): Memory {
  const recall = db.prepare('SELECT text FROM memory WHERE name = ?');
  const remember = db.prepare(
    'INSERT INTO memory VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET text = excluded.text',
  );
  return {
    recall: (name) => (recall.get(name) as { text: string } | undefined)?.text ?? '',
    remember(name, text) {
      remember.run(name, text);
    },
  };
}
