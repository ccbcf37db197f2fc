import { beforeEach, describe, expect, it } from 'vitest';
import { Desk } from '../../../host/accounts/desk';
import { IDLE_SEC, LIFE_SEC, PROVED_SEC } from '../../../host/accounts/session';
import { type AccountStore, openAccounts } from '../../../host/accounts/store';
import type { AccountChange } from '../../../host/api/accounts';

const GOOD = 'five llamas hum at dusk';
const HERE = { address: '192.0.2.7', device: '' };
const OTHER = { address: '192.0.2.66', device: '' };
const SITE_OFFICE = { id: '', name: 'Ada Vail' };

let now = 1_800_000_000;
let store: AccountStore;
let desk: Desk;
let entered: AccountChange[];
beforeEach(() => {
  store = openAccounts(':memory:');
  entered = [];
  desk = new Desk({
    store,
    clock: { nowMs: () => now * 1000, upMs: () => now * 1000 },
    enter: async (change) => void entered.push(change),
  });
});

/** An account with the good password. */
async function make(
  account: string,
  role: 'electrician' | 'administrator' = 'electrician',
  name = 'Zoë Łuk',
) {
  const { code = '' } = await desk.change({ do: 'make', account, name, role }, SITE_OFFICE);
  return desk.useCode({ account, code, password: GOOD }, HERE);
}

describe('an account', () => {
  it('is used with the password that its owner chose by a one-time code, which is then used up', async () => {
    expect(desk.asks()).toBe(false);
    const { code = '' } = await desk.change(
      { do: 'make', account: 'Zoe', name: 'Zoë Łuk', role: 'electrician' },
      SITE_OFFICE,
    );
    expect(desk.asks()).toBe(true);
    expect(desk.list()).toEqual([
      { id: 'zoe', name: 'Zoë Łuk', role: 'electrician', state: 'has no password yet' },
    ]);
    const typed = { account: ' ZOE ', code: code.toLowerCase().replaceAll('-', ' '), password: GOOD };
    const { token = '' } = await desk.useCode(typed, HERE);
    expect(desk.guest(token)?.person).toEqual({ id: 'zoe', name: 'Zoë Łuk', role: 'electrician' });
    expect(await desk.useCode(typed, HERE)).toMatchObject({ ok: false });
    expect(await desk.signIn({ account: 'zoe', password: GOOD }, HERE)).toMatchObject({ ok: true });
    expect(entered.map(({ did }) => did)).toEqual(['made', 'password']);
  });

  it('takes no code that is a week old', async () => {
    const { code = '' } = await desk.change(
      { do: 'make', account: 'zoe', name: 'Zoë', role: 'viewer' },
      SITE_OFFICE,
    );
    now += 7 * 86400 + 1;
    expect((await desk.useCode({ account: 'zoe', code, password: GOOD }, HERE)).ok).toBe(false);
  });

  it.each(['short', '123456789012', 'Password1234!', 'zoe-zoe-zoe-zoe', 'nightproof2026', 'a'.repeat(129)])(
    'takes no password like %s',
    async (password) => {
      const { code = '' } = await desk.change(
        { do: 'make', account: 'zoe', name: 'Zoë', role: 'viewer' },
        SITE_OFFICE,
      );
      expect((await desk.useCode({ account: 'zoe', code, password }, HERE)).answer).toMatch(/password/i);
      expect((await desk.useCode({ account: 'zoe', code, password: GOOD }, HERE)).ok).toBe(true);
    },
  );

  it('is not changed where the log book cannot take that', async () => {
    const deaf = new Desk({
      store,
      clock: { nowMs: () => now * 1000 },
      enter: () => Promise.reject(new Error('The disk is full.')),
    });
    const wish = { do: 'make', account: 'zoe', name: 'Zoë', role: 'viewer' } as const;
    expect((await deaf.change(wish, SITE_OFFICE)).answer).toBe('Nothing was changed. The disk is full.');
    expect(desk.asks()).toBe(false);
  });

  it('that is the last administrator can be neither disabled nor given another role', async () => {
    await make('zoe', 'administrator');
    await make('ida', 'electrician');
    const why = 'zoe is the only administrator with a password; make another one first.';
    expect((await desk.change({ do: 'disable', account: 'zoe' }, SITE_OFFICE)).answer).toBe(why);
    const less = { do: 'role', account: 'zoe', role: 'viewer' } as const;
    expect((await desk.change(less, SITE_OFFICE)).answer).toBe(why);
    await desk.change({ do: 'role', account: 'ida', role: 'administrator' }, SITE_OFFICE);
    expect((await desk.change(less, SITE_OFFICE)).ok).toBe(true);
  });

  it('is told apart from none neither by the answer nor by what is kept', async () => {
    await make('zoe');
    const wrong = await desk.signIn({ account: 'zoe', password: 'five llamas hum at noon' }, HERE);
    expect(wrong).toEqual(await desk.signIn({ account: 'nobody', password: GOOD }, HERE));
    expect(JSON.stringify(store.all())).not.toContain('llamas');
    expect(store.all()[0].password).toMatch(/^\$argon2id\$v=19\$m=19456,t=2,p=1\$/);
  });
});

describe('a session', () => {
  it('ends unused, after a week, on signing out, on every device, and with its account', async () => {
    await make('ada', 'administrator');
    const begin = async () => (await desk.signIn({ account: 'zoe', password: GOOD }, HERE)).token ?? '';
    await make('zoe');
    const idle = await begin();
    now += IDLE_SEC + 1;
    expect(desk.guest(idle)).toBeUndefined();
    const used = await begin();
    for (let past = 0; past <= LIFE_SEC; past += IDLE_SEC) {
      expect(desk.guest(used)?.person.id).toBe('zoe');
      now += IDLE_SEC;
    }
    expect(desk.guest(used)).toBeUndefined();
    const [one, two, three] = [await begin(), await begin(), await begin()];
    expect(new Set([one, two, three]).size).toBe(3);
    desk.signOut(desk.guest(one)!, false);
    expect([one, two, three].map((token) => desk.guest(token) !== undefined)).toEqual([false, true, true]);
    desk.signOut(desk.guest(two)!, true);
    expect(desk.guest(three)).toBeUndefined();
    const last = await begin();
    await desk.change({ do: 'disable', account: 'zoe' }, SITE_OFFICE);
    expect(desk.guest(last)).toBeUndefined();
    await desk.change({ do: 'enable', account: 'zoe' }, SITE_OFFICE);
    expect(desk.guest(last)).toBeUndefined();
  });

  it('ends with another password, but for the one that changed it, which gets a new cookie', async () => {
    await make('zoe');
    const { token: there = '' } = await desk.signIn({ account: 'zoe', password: GOOD }, OTHER);
    const { token = '' } = await desk.signIn({ account: 'zoe', password: GOOD }, HERE);
    const wish = { old: GOOD, password: 'nine kettles in a barn' };
    const { ok, token: fresh = '' } = await desk.changePassword(desk.guest(token)!, wish, HERE.address);
    expect(ok).toBe(true);
    expect([there, token].map((one) => desk.guest(one))).toEqual([undefined, undefined]);
    expect(desk.guest(fresh)?.person.id).toBe('zoe');
    expect((await desk.signIn({ account: 'zoe', password: GOOD }, HERE)).ok).toBe(false);
  });

  it('counts as proved for five minutes after the password, and again after it was given once more', async () => {
    await make('zoe');
    const { token = '' } = await desk.signIn({ account: 'zoe', password: GOOD }, HERE);
    const isProved = () => desk.isProved(desk.guest(token)!);
    expect(isProved()).toBe(true);
    now += PROVED_SEC + 1;
    expect(isProved()).toBe(false);
    expect((await desk.prove(desk.guest(token)!, 'not my password', HERE.address)).ok).toBe(false);
    expect(isProved()).toBe(false);
    expect((await desk.prove(desk.guest(token)!, GOOD, HERE.address)).ok).toBe(true);
    expect(isProved()).toBe(true);
  });
});

describe('wrong passwords', () => {
  const guess = (from = OTHER) => desk.signIn({ account: 'zoe', password: `guess ${Math.random()}` }, from);

  it('make every further attempt from there wait longer, also with the right one', async () => {
    await make('zoe');
    const waits: number[] = [];
    for (let n = 0; n < 9; n++) {
      const { waitSec = 0 } = await guess();
      if (waitSec > 0) {
        waits.push(waitSec);
        now += waitSec;
      }
    }
    expect(waits).toEqual([1, 2]);
    expect((await desk.signIn({ account: 'zoe', password: GOOD }, OTHER)).waitSec).toBe(4);
  });

  it('gain nothing from being sent at once', async () => {
    await make('zoe');
    const all = await Promise.all(Array.from({ length: 30 }, () => guess()));
    expect(all.filter(({ waitSec }) => waitSec === undefined)).toHaveLength(5);
  });

  it('from a hundred addresses lock nobody out who has signed in on his device before', async () => {
    await make('zoe');
    const { device = '' } = await desk.signIn({ account: 'zoe', password: GOOD }, HERE);
    expect(device).not.toBe('');
    for (let n = 0; n < 22; n++) await guess({ address: `198.51.100.${n}`, device: '' });
    // One of them waits longer now, whoever comes from elsewhere does not, nor the device that is known.
    expect((await guess({ address: '198.51.100.3', device: '' })).waitSec).toBe(30);
    expect((await guess(OTHER)).waitSec).toBeUndefined();
    expect((await guess(OTHER)).waitSec).toBe(30);
    const right = await desk.signIn({ account: 'zoe', password: GOOD }, { ...OTHER, device });
    expect(right.ok).toBe(true);
  });

  it('on a device that knows another account count as those of any other device', async () => {
    await make('zoe');
    await make('ida');
    const { device = '' } = await desk.signIn({ account: 'ida', password: GOOD }, HERE);
    for (let n = 0; n < 5; n++) await guess({ ...OTHER, device });
    expect((await guess(OTHER)).waitSec).toBe(1);
  });
});

describe('the first administrator', () => {
  it('is made with the code that the host has printed, once', async () => {
    const { codeHash, newCode } = await import('../../../host/accounts/password');
    const code = newCode();
    const first = new Desk({
      ...{ store, clock: { nowMs: () => now * 1000 }, firstCode: codeHash(code) },
      enter: async (change, by) => void entered.push({ ...change, name: by.name }),
    });
    const wish = { account: 'zoe', name: 'Zoë Łuk', password: GOOD };
    expect((await first.useCode({ ...wish, code: newCode() }, HERE)).ok).toBe(false);
    expect(first.awaitsFirst()).toBe(true);
    const both = await Promise.all([
      first.useCode({ ...wish, code }, HERE),
      first.useCode({ ...wish, account: 'eve', code }, HERE),
    ]);
    expect(both.map(({ ok }) => ok)).toEqual([true, false]);
    expect(first.awaitsFirst()).toBe(false);
    expect(first.list()).toMatchObject([{ id: 'zoe', role: 'administrator', state: 'active' }]);
    expect(entered).toMatchObject([{ did: 'made', name: 'Zoë Łuk' }]);
  });
});
