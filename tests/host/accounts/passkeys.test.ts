// Signing in by passkey as strangers may try it: with answers of any shape, and with more questions than the host keeps.
import fc from 'fast-check';
import { beforeEach, expect, it } from 'vitest';
import { Desk } from '../../../host/accounts/desk';
import { OpenQuestions } from '../../../host/accounts/openQuestions';
import { type AccountStore, openAccounts } from '../../../host/accounts/store';

const PLACE = { host: 'localhost', origin: 'http://localhost' };
const FROM = '192.0.2.7';
const NOW = 1_800_000_000;

let store: AccountStore;
let desk: Desk;
let told: string[];
beforeEach(() => {
  store = openAccounts(':memory:');
  told = [];
  desk = new Desk({
    ...{ store, clock: { nowMs: () => NOW * 1000 }, enter: async () => {} },
    complain: (_, sentence) => void told.push(sentence),
  });
});

const NOT_ACCEPTED = 'This passkey was not accepted. Sign in with the password.';

it.each(['{"id":{"toString":1,"valueOf":1}}', '{"id":["a"]}', '{"id":7}', 'null', '{', ''])(
  'an answer like %s is refused, and told of',
  async (response) => {
    expect(await desk.usePasskey(response, PLACE, FROM)).toEqual({ ok: false, answer: NOT_ACCEPTED });
    expect(told).toEqual([`Somebody at ${FROM} could not sign in with a passkey.`]);
  },
);

it('no answer makes the host fail, with the id of a passkey that is there or without', async () => {
  const made = { name: 'phone', host: 'localhost', key: new Uint8Array(2), counter: 0, made: NOW, used: 0 };
  store.putPasskey({ id: 'a', account: 'zoe', ...made });
  const shape = fc.record({ id: fc.oneof(fc.constant('a'), fc.jsonValue()) }, { requiredKeys: [] });
  await fc.assert(
    fc.asyncProperty(shape, fc.dictionary(fc.string(), fc.jsonValue()), async (one, more) => {
      const response = JSON.stringify({ ...more, ...one });
      expect((await desk.usePasskey(response, PLACE, FROM)).ok).toBe(false);
    }),
    { numRuns: 50 },
  );
});

it('whoever asks again and again takes nobody else’s question away', () => {
  const open = new OpenQuestions();
  open.add('mine', 'localhost', FROM, NOW);
  for (let n = 0; n < 20_000; n++) open.add(`theirs ${n}`, 'localhost', '198.51.100.1', NOW);
  expect(open.take('mine', 'localhost', NOW)).toBe(true);
  expect(open.take('mine', 'localhost', NOW)).toBe(false);
  expect(open.take('theirs 19999', 'localhost', NOW)).toBe(true);
  expect(open.take('theirs 0', 'localhost', NOW)).toBe(false);
});

it('nor does one who has three hundred networks', () => {
  const open = new OpenQuestions();
  open.add('mine', 'localhost', FROM, NOW);
  for (let n = 0; n < 30_000; n++) open.add(`theirs ${n}`, 'localhost', `network ${n % 300}`, NOW);
  expect(open.take('mine', 'localhost', NOW)).toBe(true);
  expect(open.size).toBeLessThanOrEqual(5000);
});

it('a question is answered within five minutes, for what it was asked', () => {
  const open = new OpenQuestions();
  for (const challenge of ['a', 'b', 'c']) open.add(challenge, 'localhost', FROM, NOW);
  expect(open.take('a', 'elsewhere', NOW)).toBe(false);
  expect(open.take('a', 'localhost', NOW + 300)).toBe(true);
  expect(open.take('b', 'localhost', NOW + 301)).toBe(false);
  // Those that are too old make room.
  open.add('d', 'localhost', FROM, NOW + 302);
  expect(open.size).toBe(1);
});
