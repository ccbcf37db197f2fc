// What the host refuses of accounts, tokens and passkeys, asked of the host itself, in every language of the page.
import { Hono } from 'hono';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { Desk } from '../../../../host/accounts/desk';
import { EVERYWHERE } from '../../../../host/accounts/grants';
import { newToken } from '../../../../host/accounts/password';
import { type AccountStore, openAccounts } from '../../../../host/accounts/store';
import { TOKENS_MAX } from '../../../../host/accounts/token';
import type { AccountOutcome, Role } from '../../../../host/api/accounts';
import type { Tongue } from '../../../../host/page/tongues/names';
import { hostWords } from '../../../../host/page/words/hostWords';
import { accountRoutes } from '../../../../host/server/accountRoutes';
import { sessionCookie } from '../../../../host/server/rights';
import { application, type ServerOptions } from '../../../../host/server/server';
import { speak, TONGUES } from '../../../support/tongues';

const OTHERS = (Object.keys(TONGUES) as Tongue[]).filter((tongue) => tongue !== 'en');
const PLACE = { host: 'localhost', origin: 'http://localhost' };
const ANNA = { id: 'anna', name: 'Anna Vail', role: 'administrator' } as const;
const none = { isDisabled: false, password: 'set', code: '', codeUntil: 0 };

let store: AccountStore;
let nowMs: number;
beforeEach(() => {
  nowMs = 1_800_000_000_000;
  store = openAccounts(':memory:');
  store.put({ ...ANNA, ...none });
  store.put({ ...none, id: 'j.vail', name: 'Jo Vail', role: 'viewer', at: { [EVERYWHERE]: 'viewer' } });
});
afterEach(() => speak('en'));

const deskOf = (buildings?: string[]) =>
  new Desk({
    ...{ store, clock: { nowMs: () => nowMs }, enter: async () => {} },
    ...(buildings && { buildings: () => buildings }),
  });

function expectWords(told: readonly string[]): void {
  expect(told.filter((sentence) => sentence === '')).toEqual([]);
  for (const tongue of OTHERS) {
    speak(tongue);
    for (const sentence of told) expect(hostWords(sentence), tongue).not.toBe(sentence);
  }
  speak('en');
}

/** Of what is refused. */
async function refusals(all: Promise<AccountOutcome>[]): Promise<string[]> {
  const outcomes = await Promise.all(all);
  expect(outcomes.filter(({ ok }) => ok)).toEqual([]);
  return outcomes.map(({ answer }) => answer);
}

it('accounts are refused in the language of the page', async () => {
  const [desk, shared] = [deskOf(), deskOf(['mill', 'lodge'])];
  const make = (account: string, name: string, more: { role?: Role; building?: string } = {}) =>
    ({ do: 'make', account, name, role: 'viewer', ...more }) as const;
  const told = await refusals([
    desk.change(make('Ä', '"'), ANNA),
    desk.change(make('anna', 'Anna Vail', { building: 'mill' }), ANNA),
    shared.change(make('bo', 'Bo Vail', { building: 'mine' }), ANNA),
    shared.change(make('bo', 'Bo Vail', { role: 'administrator', building: 'mill' }), ANNA),
    desk.change({ do: 'disable', account: 'nobody' }, ANNA),
    desk.change({ do: 'disable', account: 'anna' }, ANNA),
    desk.change({ do: 'enable', account: 'j.vail' }, ANNA),
    desk.change({ do: 'code', account: 'anna' }, ANNA),
    desk.change({ do: 'role', account: 'anna', role: 'viewer' }, ANNA),
    desk.change({ do: 'role', account: 'j.vail', role: 'viewer' }, ANNA),
    shared.change({ do: 'role', account: 'j.vail', role: 'none' }, ANNA),
    shared.change({ do: 'role', account: 'j.vail', role: 'viewer' }, ANNA),
  ]);
  expectWords(told);
  const disabled = await desk.change({ do: 'disable', account: 'j.vail' }, ANNA);
  expectWords([
    disabled.answer,
    ...(await refusals([desk.change({ do: 'disable', account: 'j.vail' }, ANNA)])),
  ]);
  store.put({ ...ANNA, ...none, role: 'viewer' });
  expectWords(await refusals([desk.change(make('bo', 'Bo Vail'), ANNA)]));
});

it('tokens are refused in the language of the page', async () => {
  const { tokens } = deskOf();
  const make = (name: string, days = 9) => ({ do: 'make', name, scope: 'read', days }) as const;
  expectWords(
    await refusals([
      tokens.change(make(''), ANNA),
      tokens.change(make('display', 0), ANNA),
      tokens.change({ do: 'withdraw', token: 'beef' }, ANNA),
    ]),
  );
  const made = await tokens.change(make('display'), ANNA);
  const [{ id }] = tokens.list();
  const withdraw = () => tokens.change({ do: 'withdraw', token: id }, ANNA);
  await withdraw();
  expectWords([made.answer, ...(await refusals([withdraw()]))]);
  for (let n = 0; n < TOKENS_MAX; n++) await tokens.change(make('display'), ANNA);
  expectWords(await refusals([tokens.change(make('one more'), ANNA)]));
});

it('passkeys are refused in the language of the page', async () => {
  const { passkeys } = deskOf();
  expectWords(
    await refusals([
      passkeys.add(ANNA, { name: '', response: '{}' }, PLACE),
      passkeys.add(ANNA, { name: 'phone', response: '{}' }, PLACE),
      passkeys.remove(ANNA, 'none'),
    ]),
  );
  const app = new Hono().route('/api', accountRoutes(deskOf(), false, false));
  const asked = await app.request('http://192.0.2.7/api/session/passkey/options', {
    ...{ method: 'POST', headers: { host: '192.0.2.7' } },
  });
  expectWords([((await asked.json()) as { answer: string }).answer]);
});

it('who may not do something is told so in the language of the page', async () => {
  const { token, hash } = newToken();
  const now = nowMs / 1000;
  store.putSession({ hash, account: 'j.vail', began: now, used: now, proved: now });
  const parts = {
    ...{ desk: deskOf(), past: { notes: {} }, site: { circuits: [] } },
    page: { html: '', script: '', style: '', tongues: {} },
  };
  const app = application(parts as unknown as ServerOptions, '127.0.0.1');
  const headers = {
    ...{ host: '127.0.0.1', 'content-type': 'application/json' },
    cookie: `${sessionCookie(false, '')}=${token}`,
  };
  const ask = async (path: string, method: string) => {
    const answer = await app.request(path, { method, headers });
    expect(answer.status).toBe(403);
    return ((await answer.json()) as { answer: string }).answer;
  };
  expectWords([await ask('/api/accounts', 'GET'), await ask('/api/inspections', 'POST')]);
});
