import { beforeEach, describe, expect, it } from 'vitest';
import type { Change } from '../../../host/accounts/account';
import { Desk } from '../../../host/accounts/desk';
import { networkOf, Patience } from '../../../host/accounts/patience';
import { IDLE_SEC, LIFE_SEC, PROVED_SEC } from '../../../host/accounts/session';
import { type AccountStore, openAccounts } from '../../../host/accounts/store';

const GOOD = 'five llamas hum at dusk';
const HERE = { address: '192.0.2.7', device: '' };
const OTHER = { address: '192.0.2.66', device: '' };
const SITE_OFFICE = { id: '', name: 'Ada Vail' };

let now = 1_800_000_000;
let store: AccountStore;
let desk: Desk;
let entered: Change[];
let isTesting = false;
let told: string[];
beforeEach(() => {
  store = openAccounts(':memory:');
  entered = [];
  told = [];
  desk = new Desk({
    store,
    clock: { nowMs: () => now * 1000, upMs: () => now * 1000 },
    isTesting: () => isTesting,
    enter: async (change) => void entered.push(change),
    tell: (sentence) => void told.push(sentence),
    complain: (_, sentence) => void told.push(sentence),
  });
});

/** Without an administrator there are no other accounts. */
function chief(): void {
  if (store.any()) return;
  const none = { isDisabled: false, code: '', codeUntil: 0 };
  store.put({ id: 'chief', name: 'Ida Orr', role: 'administrator', password: 'set', ...none });
}

/** An account with the good password. */
async function make(
  account: string,
  role: 'electrician' | 'administrator' = 'electrician',
  name = 'Zoë Łuk',
) {
  if (role !== 'administrator') chief();
  const { code = '' } = await desk.change({ do: 'make', account, name, role }, SITE_OFFICE);
  return desk.useCode({ account, code, password: GOOD }, HERE.address);
}

describe('an account', () => {
  it('is used with the password that its owner chose by a one-time code, which is then used up', async () => {
    expect(desk.asks()).toBe(false);
    const early = { do: 'make', account: 'ida', name: 'Ida', role: 'viewer' } as const;
    expect((await desk.change(early, SITE_OFFICE)).answer).toMatch(/^Make an administrator first/);
    const { code = '' } = await desk.change(
      { do: 'make', account: 'Zoe', name: 'Zoë Łuk', role: 'administrator' },
      SITE_OFFICE,
    );
    // Nobody can sign in yet, so nobody is asked to.
    expect(desk.asks()).toBe(false);
    expect(desk.list()).toEqual([
      { id: 'zoe', name: 'Zoë Łuk', role: 'administrator', at: {}, state: 'has no password yet' },
    ]);
    const typed = { account: ' ZOE ', code: code.toLowerCase().replaceAll('-', ' '), password: GOOD };
    const { token = '' } = await desk.useCode(typed, HERE.address);
    expect(desk.guest(token)?.person).toEqual({ id: 'zoe', name: 'Zoë Łuk', role: 'administrator' });
    expect(desk.asks()).toBe(true);
    expect(await desk.useCode(typed, HERE.address)).toMatchObject({ ok: false });
    expect(await desk.signIn({ account: 'zoe', password: GOOD }, HERE)).toMatchObject({ ok: true });
    expect(entered.map(({ did }) => did)).toEqual(['made', 'password']);
  });

  it('has no passkey any more once a code was used, because others may have added one', async () => {
    await make('zoe');
    const passkey = {
      name: 'phone',
      host: 'localhost',
      key: new Uint8Array(2),
      counter: 0,
      made: now,
      used: 0,
    };
    store.putPasskey({ id: 'a', account: 'zoe', ...passkey });
    store.putPasskey({ id: 'b', account: 'ida', ...passkey });
    const { code = '' } = await desk.change({ do: 'code', account: 'zoe' }, SITE_OFFICE);
    expect(desk.passkeys.list('zoe')).toHaveLength(1);
    await desk.useCode({ account: 'zoe', code, password: 'four other words entirely' }, HERE.address);
    expect(store.passkeys().map(({ id }) => id)).toEqual(['b']);
  });

  it('has no passkey any more once its password was changed or it was enabled again, and says so', async () => {
    await make('zoe');
    await make('ida');
    const passkey = {
      name: 'phone',
      host: 'localhost',
      key: new Uint8Array(2),
      counter: 0,
      made: now,
      used: 0,
    };
    const add = () => {
      store.putPasskey({ id: 'a', account: 'zoe', ...passkey });
      store.putPasskey({ id: 'b', account: 'ida', ...passkey });
    };
    add();
    const { token = '' } = await desk.signIn({ account: 'zoe', password: GOOD }, HERE);
    const wish = { old: GOOD, password: 'nine kettles in a barn' };
    const changed = await desk.changePassword(desk.guest(token)!, wish, HERE.address);
    expect(changed.answer).toBe(
      'The new password holds from now on. The passkeys of this account were removed; add your own again.',
    );
    expect(store.passkeys().map(({ id }) => id)).toEqual(['b']);
    const back = { old: wish.password, password: GOOD };
    const again = await desk.changePassword(desk.guest(changed.token ?? '')!, back, HERE.address);
    expect(again.answer).toBe('The new password holds from now on.');
    add();
    await desk.change({ do: 'disable', account: 'zoe' }, SITE_OFFICE);
    const enabled = await desk.change({ do: 'enable', account: 'zoe' }, SITE_OFFICE);
    expect(enabled.answer).toBe(
      'Done, and entered in the log book: account zoe. The passkeys of this account were removed.',
    );
    expect(store.passkeys().map(({ id }) => id)).toEqual(['b']);
  });

  it('takes no code that is a week old', async () => {
    chief();
    const { code = '' } = await desk.change(
      { do: 'make', account: 'zoe', name: 'Zoë', role: 'viewer' },
      SITE_OFFICE,
    );
    now += 7 * 86400 + 1;
    expect((await desk.useCode({ account: 'zoe', code, password: GOOD }, HERE.address)).ok).toBe(false);
  });

  it.each([
    ...['short', '123456789012', 'Password1234!', 'zoe-zoe-zoe-zoe', 'nightproof2026', 'a'.repeat(129)],
    ...['1q2w3e4r5t6y', 'qazwsxedcrfv', 'trustno1trustno1', 'liverpool19920824'],
  ])('takes no password like %s', async (password) => {
    chief();
    const { code = '' } = await desk.change(
      { do: 'make', account: 'zoe', name: 'Zoë', role: 'viewer' },
      SITE_OFFICE,
    );
    expect((await desk.useCode({ account: 'zoe', code, password }, HERE.address)).answer).toMatch(
      /password/i,
    );
    expect((await desk.useCode({ account: 'zoe', code, password: GOOD }, HERE.address)).ok).toBe(true);
  });

  it.each([
    ...['annavail2026', 'Anna.Vail-2026', 'vail anna 12345', 'zoemuseum2026'].map((own) => [
      own,
      'your name',
    ]),
    ...['Müsëum of Tides!', 'museumoftides2026', 'hollinsea tides 1', 'idaorr-idaorr1'].map((name) => [
      name,
      'a name that belongs to the building',
    ]),
  ])('takes none that is made of names as %s, and says that it contains %s', async (password, whose) => {
    chief();
    const knowing = new Desk({
      ...{ store, clock: { nowMs: () => now * 1000 }, enter: async () => {} },
      known: () => ['hollinsea-tides', 'Museum of Tides, Hollinsea', 'Ida Orr'],
    });
    const wish = { do: 'make', account: 'zoe', name: 'Anna Vail', role: 'viewer' } as const;
    const { code = '' } = await knowing.change(wish, SITE_OFFICE);
    const answer = (typed: string) =>
      knowing.useCode({ account: 'zoe', code, password: typed }, HERE.address);
    expect((await answer(password)).answer).toBe(
      `This password contains ${whose}. Choose four unrelated words.`,
    );
    expect((await answer('password1234')).answer).toContain('among the first that others would try');
    expect((await answer('vail over the museum roof')).ok).toBe(true);
  });

  it('is changed as a whole, and the log book gets it once it can', async () => {
    chief();
    let isFull = true;
    const told: unknown[] = [];
    const deaf = new Desk({
      store,
      clock: { nowMs: () => now * 1000 },
      async enter(change, by, id) {
        if (isFull) throw new Error('The disk is full.');
        told.push([change.did, by.name, id]);
      },
    });
    const wish = { do: 'make', account: 'zoe', name: 'Zoë', role: 'viewer' } as const;
    const { ok, answer } = await deaf.change(wish, SITE_OFFICE);
    expect(ok).toBe(true);
    expect(answer).toBe(
      'Done: account zoe. The log book does not have it yet, and gets it as soon as it can. The disk is full.',
    );
    isFull = false;
    expect(await deaf.deliver()).toBe('');
    expect(await deaf.deliver()).toBe('');
    expect(told).toEqual([['made', 'Ada Vail', expect.stringMatching(/^[0-9a-f]{32}$/)]]);
  });

  it('keeps its password until a code is used, and gives nobody one for himself', async () => {
    await make('zoe', 'administrator');
    const { token = '' } = await desk.signIn({ account: 'zoe', password: GOOD }, HERE);
    const zoe = desk.guest(token)!.person;
    expect((await desk.change({ do: 'code', account: 'zoe' }, zoe)).ok).toBe(false);
    const { code = '' } = await desk.change({ do: 'code', account: 'zoe' }, SITE_OFFICE);
    expect(desk.asks()).toBe(true);
    expect(desk.guest(token)?.person.id).toBe('zoe');
    expect((await desk.signIn({ account: 'zoe', password: GOOD }, HERE)).ok).toBe(true);
    expect(
      (await desk.useCode({ account: 'zoe', code, password: 'nine kettles in a barn' }, HERE.address)).ok,
    ).toBe(true);
    expect(desk.guest(token)).toBeUndefined();
    expect((await desk.signIn({ account: 'zoe', password: GOOD }, HERE)).ok).toBe(false);
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
    expect(store.of('zoe')?.password).toMatch(/^\$argon2id\$v=19\$m=19456,t=2,p=1\$/);
  });
});

describe('a session', () => {
  it('ends unused, after 30 days but in no test, on signing out, on every device, and with its account', async () => {
    await make('ada', 'administrator');
    const begin = async () => (await desk.signIn({ account: 'zoe', password: GOOD }, HERE)).token ?? '';
    await make('zoe');
    const idle = await begin();
    now += IDLE_SEC + 1;
    expect(desk.guest(idle)).toBeUndefined();
    const used = await begin();
    expect(desk.guest(used)?.session.began).toBe(now);
    for (let past = 0; past <= LIFE_SEC; past += IDLE_SEC) {
      expect(desk.guest(used)?.person.id).toBe('zoe');
      now += IDLE_SEC;
    }
    isTesting = true;
    expect(desk.guest(used)?.person.id).toBe('zoe');
    isTesting = false;
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

  it('neither begins with a password changed meanwhile, nor comes back once it has ended', async () => {
    await make('zoe');
    const { token = '' } = await desk.signIn({ account: 'zoe', password: GOOD }, HERE);
    const guest = desk.guest(token)!;
    // Each check takes a tenth of a second, in which the other is done.
    const late = desk.signIn({ account: 'zoe', password: GOOD }, OTHER);
    const proving = desk.prove(guest, GOOD, HERE.address);
    const zoe = store.of('zoe')!;
    store.change(() => {
      store.put({ ...zoe, password: `${zoe.password}x` });
      store.endSessions('zoe');
    });
    expect((await late).ok).toBe(false);
    expect((await proving).ok).toBe(false);
    expect(desk.guest(token)).toBeUndefined();
    store.put(zoe);
    const { token: anew = '' } = await desk.signIn({ account: 'zoe', password: GOOD }, HERE);
    const again = desk.prove(desk.guest(anew)!, GOOD, HERE.address);
    desk.signOut(desk.guest(anew)!, true);
    expect((await again).ok).toBe(false);
    expect(desk.guest(anew)).toBeUndefined();
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

describe('the people at the host', () => {
  it('are told who signed in and who could not, from where, and nothing that was typed in a wrong field', async () => {
    await make('zoe');
    await desk.signIn({ account: 'zoe', password: GOOD }, HERE);
    await desk.signIn({ account: 'zoe', password: 'not my password at all' }, OTHER);
    await desk.signIn({ account: GOOD, password: 'zoe' }, OTHER);
    expect(told).toEqual([
      'The account zoe signed in from 192.0.2.7 with a one-time code.',
      'The account zoe signed in from 192.0.2.7.',
      'Somebody at 192.0.2.66 could not sign in as zoe.',
      'Somebody at 192.0.2.66 could not sign in with an account that is not there.',
    ]);
  });

  it('are told who signed in by a one-time code and who could not, from where, and no code', async () => {
    chief();
    const wish = { do: 'make', account: 'zoe', name: 'Zoë Łuk', role: 'viewer' } as const;
    const { code = '' } = await desk.change(wish, SITE_OFFICE);
    const use = (account: string, typed: string) =>
      desk.useCode({ account, code: typed, password: GOOD }, OTHER.address);
    await use('zoe', 'AAAA-BBBB-CCCC-DDDD-EEEE');
    await use(code, 'zoe');
    await use('zoe', code);
    await use('zoe', code);
    expect(told).toEqual([
      'Somebody at 192.0.2.66 could not sign in by a one-time code as zoe.',
      'Somebody at 192.0.2.66 could not sign in by a one-time code with an account that is not there.',
      'The account zoe signed in from 192.0.2.66 with a one-time code.',
      'Somebody at 192.0.2.66 could not sign in by a one-time code as zoe.',
    ]);
  });

  it('are told of a wrong password where it is asked for once more', async () => {
    await make('zoe');
    const { token = '' } = await desk.signIn({ account: 'zoe', password: GOOD }, HERE);
    const guest = desk.guest(token)!;
    told.splice(0);
    const wrong = 'not my password at all';
    await desk.prove(guest, wrong, OTHER.address);
    await desk.changePassword(guest, { old: wrong, password: GOOD }, OTHER.address);
    const line = 'Somebody at 192.0.2.66 could not prove to be zoe, who is signed in there.';
    expect(told).toEqual([line, line]);
    await desk.prove(guest, GOOD, OTHER.address);
    expect(told).toHaveLength(2);
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
    // Four are checked, one after the other; whoever comes meanwhile is told to wait.
    expect(all.filter(({ waitSec }) => waitSec === undefined)).toHaveLength(4);
  });

  it('from a hundred addresses keep nobody waiting for more than half a minute', () => {
    const patience = new Patience();
    const from = (address: string, device = '') => ({ account: 'zoe', address, device });
    for (let n = 0; n < 20; n++) patience.begin(from(`198.51.100.${n}`), now);
    expect(patience.wait(from(OTHER.address, 'known'), now)).toBe(0);
    expect(patience.wait(from(OTHER.address), now)).toBe(30);
    let others = 0;
    for (const end = now + 30; now < end; now++) {
      const other = from(`203.0.113.${now % 30}`);
      if (patience.wait(other, now) > 0) continue;
      patience.begin(other, now);
      others++;
    }
    // However many others try meanwhile: what was promised holds, and all of them together get few turns.
    expect(patience.wait(from(OTHER.address), now)).toBe(0);
    expect(others).toBeLessThan(5);
  });

  it('from many addresses of one network, or of this machine, count as those of one', () => {
    const same = ['2001:db8:1:2::1', '2001:db8:1:2:ffff::9', '2001:0db8:0001:0002:1:2:3:4'].map(networkOf);
    expect(new Set(same).size).toBe(1);
    expect(networkOf('2001:db8:1:3::1')).not.toBe(same[0]);
    const own = ['127.0.0.1', '127.9.8.7', '::1', '::ffff:127.0.0.1'].map(networkOf);
    expect(new Set(own)).toEqual(new Set(['this machine']));
    expect(networkOf('::ffff:192.0.2.7')).toBe('192.0.2.7');
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
      complain: (_, sentence) => void told.push(sentence),
    });
    const wish = { account: 'zoe', name: 'Zoë Łuk', password: GOOD };
    const wrong = await first.useCode({ ...wish, code: newCode() }, OTHER.address);
    expect(wrong).toMatchObject({ ok: false, answer: 'Code is wrong. Compare it with the screen.' });
    expect(told).toEqual(['Somebody at 192.0.2.66 could not sign in, with a wrong one-time code.']);
    expect(first.awaitsFirst()).toBe(true);
    const both = await Promise.all([
      first.useCode({ ...wish, code }, HERE.address),
      first.useCode({ ...wish, account: 'eve', code }, HERE.address),
    ]);
    expect(both.map(({ ok }) => ok)).toEqual([true, false]);
    expect(first.awaitsFirst()).toBe(false);
    expect(first.list()).toMatchObject([{ id: 'zoe', role: 'administrator', state: 'active' }]);
    expect(entered).toMatchObject([{ did: 'made', name: 'Zoë Łuk' }]);
  });
});
