// From version 1 to 2: orders and kept evidence, which stood beside the entries, become entries too, and the texts of
// the memory are sealed.

import type { Db } from '../../../sqlite';
import type { Pen } from '../../filing';
import { KEPT, keptBody, ORDERS } from '../../own';
import { newAppender } from './append';
import { sealMemory } from './memory';
import { newOrderStore } from './orders';
import { newReader } from './read';

/** More than any log book holds. */
const ALL = Number.MAX_SAFE_INTEGER;

function carryEvidence(db: Db, pen: Pen): void {
  for (const e of newReader(db).evidence(ALL).reverse()) pen.own(e.address, KEPT, e.at, keptBody(e));
}

function carryOrders(pen: Pen, store: ReturnType<typeof newOrderStore>): void {
  for (const { address, counter, do: what, arg, who, at, answer } of store.recent(ALL).reverse()) {
    pen.own(address, ORDERS, at, { kind: 'ordered', counter, do: what, arg, who });
    // When it was answered was not kept.
    if (answer !== '') pen.own(address, ORDERS, at, { kind: 'answered', counter, answer });
  }
}

/** Runs the script of version 2 and adds the entries, all in one transaction. */
export function carryOver(db: Db, script: string): void {
  const { writing } = newAppender(db);
  const store = newOrderStore(db, writing);
  writing((pen) => {
    db.exec(script);
    sealMemory(db);
    carryEvidence(db, pen);
    carryOrders(pen, store);
  });
}
