// Tables that only repeat what entries say, against those entries: nobody should be shown anything else.
import type { Fault } from '../fault';
import type { RawEntry, Repeated } from '../inspect';
import type { Evidence, OrderRow } from '../logbook';
import { type OwnBody, readOwn } from '../own';

export interface Repeats {
  take(entry: RawEntry): void;
  /** Compares what the entries say with what the tables say. */
  finish(repeated: Repeated): void;
}

type Said = Omit<OrderRow, 'address'> | Omit<Evidence, 'address'>;

const orderName = ({ address, counter }: Pick<OrderRow, 'address' | 'counter'>): string =>
  `${address} ${counter}`;
const keptName = (e: Evidence): string => JSON.stringify([e.address, e.journal, e.seq, e.why, e.body]);

class Check implements Repeats {
  private readonly orders = new Map<string, { row: OrderRow; entry: number }>();
  private readonly kept = new Map<string, { row: Evidence; entry: number }>();

  constructor(private readonly add: (fault: Fault) => void) {}

  take(e: RawEntry): void {
    const own = readOwn(e);
    if (own?.kind === 'ordered') this.takeOrder(e, own);
    else if (own?.kind === 'answered') {
      const order = this.orders.get(orderName({ address: e.address, counter: own.counter }));
      if (order) order.row.answer = own.answer;
    } else if (own?.kind === 'kept') {
      const [journal = '', seq] = own.of.split(' ');
      const row = { address: e.address, at: e.at, journal, seq: Number(seq), why: own.why, body: own.text };
      this.kept.set(keptName(row), { row, entry: e.entry });
    }
  }

  finish({ orders, kept }: Repeated): void {
    this.compare('order', this.orders, new Map(orders.map((row) => [orderName(row), row])));
    this.compare('text kept apart', this.kept, new Map(kept.map((row) => [keptName(row), row])));
  }

  private takeOrder(e: RawEntry, { counter, do: what, arg, who }: OwnBody & { kind: 'ordered' }): void {
    const row = { address: e.address, counter, do: what, arg, who, at: e.at, answer: '' };
    this.orders.set(orderName(row), { row, entry: e.entry });
  }

  private compare<T extends Said & { address: string }>(
    what: string,
    said: ReadonlyMap<string, { row: T; entry: number }>,
    stored: ReadonlyMap<string, T>,
  ): void {
    for (const [name, { row, entry }] of said) {
      const is = stored.get(name);
      if (is && sameFields(is, row)) continue;
      const why = `The ${what} of entry ${entry} is ${is ? 'not listed as that entry says' : 'missing from its list'}.`;
      this.add({ part: 'memory', entry, why });
    }
    for (const [name, row] of stored)
      if (!said.has(name))
        this.add({
          part: 'memory',
          entry: 0,
          why: `A ${what} of ${row.address} is listed that no entry speaks of.`,
        });
  }
}

function sameFields(a: object, b: object): boolean {
  const text = (row: object) => JSON.stringify(Object.entries(row).sort());
  return text(a) === text(b);
}

export function checkRepeats(add: (fault: Fault) => void): Repeats {
  return new Check(add);
}
