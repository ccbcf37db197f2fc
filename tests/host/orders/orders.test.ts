import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setImmediate } from 'node:timers/promises';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { OrderKind, Reason } from '../../../firmware/contract/codes';
import type { OrderMessage } from '../../../firmware/contract/messages';
import { hasValidSignature } from '../../../firmware/contract/signature';
import { openLogbook } from '../../../host/logbook/engines/open';
import type { Logbook } from '../../../host/logbook/logbook';
import { createOrders, type Orders } from '../../../host/orders/orders';
import { KEYS } from '../logbook/records';

const A = 'demo/a';
const RESTORE = { do: OrderKind.Restore, arg: 0, who: 'Anna' };

let folder: string;
let logbook: Logbook;
let sent: OrderMessage[];
let orders: Orders;
let connected: boolean;
/** What was looked up as each order left. */
let written: Promise<void>[];

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-orders-'));
  sent = [];
  connected = true;
  written = [];
  await start();
});
afterEach(async () => {
  await Promise.all(written);
  await orders.close();
  await logbook.close();
  rmSync(folder, { recursive: true, force: true });
});

async function start(waitMs = 60000): Promise<void> {
  logbook = await openLogbook(join(folder, 'log.db'));
  orders = createOrders({
    keys: KEYS,
    clock: { nowMs: () => 1770000000500 },
    logbook,
    waitMs,
    publish(topic, payload, { qos }) {
      expect([topic, qos]).toEqual(['nightproof/demo/a/order', 1]);
      expect(hasValidSignature(KEYS.keyOf(A), 'order', A, payload)).toBe(true);
      const order = JSON.parse(payload) as OrderMessage;
      // Written before it is sent: whatever happens next, this counter is never used again.
      written.push(
        logbook.orders
          .recent(10)
          .then((rows) => expect(rows.map(({ counter }) => counter)).toContain(order.counter)),
      );
      if (connected) sent.push(order);
      return connected;
    },
  });
}

it('sends a signed order that soon expires, and matches the answer to it', async () => {
  const answer = orders.give(A, RESTORE);
  await setImmediate();
  expect(sent).toMatchObject([{ v: 1, do: OrderKind.Restore, arg: 0, who: 'Anna', expires: 1770000060 }]);
  orders.reply(A, { v: 1, counter: sent[0].counter + 1, ok: 0, reason: Reason.Stale });
  orders.reply('demo/b', { v: 1, counter: sent[0].counter, ok: 0, reason: Reason.Stale });
  orders.reply(A, { v: 1, counter: sent[0].counter, ok: 1, reason: Reason.None });
  expect(await answer).toEqual({
    ok: true,
    answer: 'The controller has accepted the order to restore the supply.',
  });
  expect(await logbook.orders.recent(1)).toMatchObject([
    { who: 'Anna', answer: expect.stringContaining('accepted') },
  ]);
});

it('gives the reason of a refusal in plain words', async () => {
  const answer = orders.give(A, RESTORE);
  await setImmediate();
  orders.reply(A, { v: 1, counter: sent[0].counter, ok: 0, reason: Reason.NothingToDo });
  const refused = orders.give(A, { ...RESTORE, do: OrderKind.Hold, arg: 60 });
  await setImmediate();
  orders.reply(A, { v: 1, counter: sent[1].counter, ok: 0, reason: Reason.Busy });
  expect((await refused).answer).toMatch(/^The controller refused to hold testing for 60 s\. /);
  // A second press is no failure, and an outage has no test that holds the supply off either.
  expect(await answer).toEqual({
    ok: false,
    nothingToDo: true,
    answer: 'There was nothing to restore: the controller was not holding the supply off.',
  });
});

it('keeps counting after a restart, and for many orders in one second', async () => {
  void orders.give(A, RESTORE);
  void orders.give(A, RESTORE);
  await setImmediate();
  await orders.close();
  await logbook.close();
  await start();
  void orders.give(A, RESTORE);
  await setImmediate();
  const counters = sent.map((order) => order.counter);
  expect(counters).toEqual([counters[0], counters[0] + 1, counters[0] + 2]);
});

it('says so if no answer comes', async () => {
  await orders.close();
  await logbook.close();
  await start(20);
  expect((await orders.give(A, RESTORE)).answer).toMatch(
    /^No answer from the controller within .* may or may not have acted\.$/,
  );
});

it('says so if there is no connection, and does not send the order later', async () => {
  connected = false;
  expect(await orders.give(A, RESTORE)).toEqual({
    ok: false,
    answer: 'The order was not sent: there is no connection to the MQTT broker.',
  });
  expect(sent).toEqual([]);
});

it.each(['', ' ', 'A"B', 'A\\B', 'x'.repeat(41), 'tab\t', 'Anna\u202e', '\ud800'])(
  'refuses the name %j',
  async (who) => {
    expect((await orders.give(A, { ...RESTORE, who })).ok).toBe(false);
    expect(await logbook.orders.recent(1)).toEqual([]);
  },
);

it('settles orders still waiting when it is closed', async () => {
  const answer = orders.give(A, RESTORE);
  await setImmediate();
  await orders.close();
  expect((await answer).answer).toBe('The host was stopped before the controller answered.');
});

it('sends nothing any more when it is closed while an order is being written down', async () => {
  const answer = orders.give(A, RESTORE);
  await orders.close();
  expect((await answer).answer).toBe('The host was stopped before the controller answered.');
  expect(sent).toEqual([]);
});

it('names the giver in full in the log book, and in plain letters to the controller', async () => {
  const given = orders.give(A, { ...RESTORE, who: 'Zoë Großmüller' });
  await setImmediate();
  expect(sent).toMatchObject([{ who: 'Zoe Grossmuller' }]);
  expect(await logbook.orders.recent(1)).toMatchObject([{ who: 'Zoë Großmüller' }]);
  await orders.close();
  await given;
});
