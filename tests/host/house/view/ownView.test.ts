// What the log book writes itself, from a real log book to a line on the page.
import { afterEach, beforeEach, expect, it } from 'vitest';
import { OrderKind } from '../../../../firmware/contract/codes';
import { ownView } from '../../../../host/house/view/ownView';
import { openLogbook } from '../../../../host/logbook/engines/open';
import type { Logbook } from '../../../../host/logbook/logbook';
import { kindWord, logKinds } from '../../../../host/page/words/log';
import { newJournal } from '../../logbook/records';

let logbook: Logbook;
beforeEach(async () => {
  logbook = await openLogbook(':memory:');
});
afterEach(() => logbook.close());

it('names the person, the order, its number and what became of it', async () => {
  const at = 1770000000;
  const order = { address: 'demo/a', do: OrderKind.Restore, arg: 0, who: 'Anna', at };
  const counter = await logbook.orders.take(order);
  const answer = 'The controller has accepted the order to restore the supply.';
  await logbook.orders.answer('demo/a', counter, answer, at + 2);
  const entries = await logbook.after(0, 10);
  expect(entries.map((entry) => ownView(entry, 'a'))).toMatchObject([
    { circuit: 'a', at, kind: 'ordered', mark: 'note', body: entries[0].body, hash: entries[0].hash },
    { circuit: 'a', at: at + 2, kind: 'answered', mark: 'note' },
  ]);
  expect(entries.map((entry) => ownView(entry, 'a').text)).toEqual([
    `Anna gave the order to restore the supply (order ${counter}).`,
    `Answer to order ${counter}: ${answer}`,
  ]);
});

it('says as an alarm what is kept apart, and why', async () => {
  const record = newJournal('demo/a').record();
  await logbook.appendBatch([record, { ...record, body: `${record.body} ` }]);
  const [kept] = await logbook.page({ limit: 1 });
  expect(ownView(kept, 'a')).toMatchObject({
    kind: 'kept',
    mark: 'alarm',
    text: 'Kept apart: Another record is in the log book under the same number.',
  });
});

it('shows an entry that was changed as unknown rather than not at all', async () => {
  await logbook.keep({ address: 'demo/a', at: 1, why: 'It is odd.', body: 'odd' });
  const [kept] = await logbook.page({ limit: 1 });
  for (const body of ['{"v":1,', '{}', '[]', '7', 'null'])
    expect(ownView({ ...kept, body }, 'a').text).toBe('An entry of a kind unknown to this host.');
});

it('has a word for each kind in the filter of the log book', () => {
  const kinds = ['ordered', 'answered', 'kept'];
  expect(logKinds().map(([kind]) => kind)).toEqual(expect.arrayContaining(kinds));
  for (const kind of kinds) expect(kindWord(kind)).not.toBe(kind);
});
