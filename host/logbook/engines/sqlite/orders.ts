// Orders, stored in the same file as the log book.
import { risingNumber } from '../../../clock';
import type { Db } from '../../../sqlite';
import type { NewOrder, OrderRow } from '../../logbook';
import { ORDERS } from '../../own';
import type { Appender } from './append';
import { bytes, textIn, whole } from './columns';

export function newOrderStore(db: Db, writing: Appender['writing']) {
  const last = db.prepare('SELECT max(counter) AS n FROM orders WHERE controller = ?');
  const insert = db.prepare('INSERT INTO orders VALUES (?, ?, ?, ?, ?, ?, ?)');
  const answer = db.prepare('UPDATE orders SET answer = ? WHERE controller = ? AND counter = ?');
  const recent = db.prepare(
    `SELECT ${bytes('c.address')}, ${whole('o.counter')}, ${whole('o.what', '"do"')}, ${whole('o.arg')}, ` +
      `${bytes('o.who')}, ${whole('o.at')}, ${bytes('o.answer')} FROM orders o ` +
      'JOIN controllers c ON c.id = o.controller ORDER BY o.at DESC, o.counter DESC LIMIT ?',
  );
  return {
    take(order: NewOrder): number {
      return writing((pen) => {
        const id = pen.controller(order.address);
        const before = (last.get(id) as { n: number | null }).n ?? 0;
        const counter = risingNumber(before, order.at);
        insert.run(id, counter, order.do, order.arg, order.who, order.at, '');
        const { do: what, arg, who, account } = order;
        const signed = account === undefined ? {} : { account };
        pen.own(order.address, ORDERS, order.at, { kind: 'ordered', counter, do: what, arg, who, ...signed });
        return counter;
      });
    },
    answer(address: string, counter: number, text: string, at: number): void {
      writing((pen) => {
        if (answer.run(text, pen.controller(address), counter).changes > 0)
          pen.own(address, ORDERS, at, { kind: 'answered', counter, answer: text });
      });
    },
    recent: (limit: number): OrderRow[] => (recent.all(limit) as OrderColumns[]).map(toOrder),
  };
}

type OrderColumns = Record<keyof OrderRow, unknown>;

function toOrder(row: OrderColumns): OrderRow {
  return {
    address: textIn(row.address),
    counter: Number(row.counter),
    do: Number(row.do),
    arg: Number(row.arg),
    who: textIn(row.who),
    at: Number(row.at),
    answer: textIn(row.answer),
  };
}
