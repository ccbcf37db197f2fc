// Access tokens: made, withdrawn, too old, and what is kept and told of them.
import { beforeEach, describe, expect, it } from 'vitest';
import type { Change } from '../../../host/accounts/account';
import { Desk } from '../../../host/accounts/desk';
import { type AccountStore, openAccounts } from '../../../host/accounts/store';
import { TOKENS_MAX } from '../../../host/accounts/token';

const OFFICE = { id: '', name: 'Ada Vail' };
const FROM = '192.0.2.7';
const DAY = 86_400;

let now = 1_800_000_000;
let store: AccountStore;
let desk: Desk;
let entered: Change[];
let told: string[];
beforeEach(() => {
  store = openAccounts(':memory:');
  [entered, told] = [[], []];
  desk = new Desk({
    store,
    clock: { nowMs: () => now * 1000, upMs: () => now * 1000 },
    enter: async (change) => void entered.push(change),
    tell: (sentence) => void told.push(sentence),
  });
});

async function made(scope: 'calendar' | 'read' = 'calendar', by = OFFICE, days = 30) {
  const outcome = await desk.tokens.change({ do: 'make', name: 'Porter’s calendar', scope, days }, by);
  const { secret = '' } = outcome;
  return { secret, id: /token ([0-9a-f]{8})/.exec(outcome.answer)?.[1] ?? '' };
}

const use = (secret: string, from = FROM) => desk.tokens.use(secret, ['calendar'], from);

describe('an access token', () => {
  it('is shown once, of 256 random bits, and only its hash is kept', async () => {
    const { secret, id } = await made();
    expect(secret).toMatch(/^nightproof_[\w-]{43}$/);
    expect(use(secret)).toMatchObject({ id, scope: 'calendar' });
    expect(JSON.stringify([store.tokens(), desk.tokens.list(), entered, told])).not.toContain(secret);
    expect(entered).toEqual([
      { token: id, name: 'Porter’s calendar', scope: 'calendar', did: 'made', until: now + 30 * DAY },
    ]);
  });

  it('says when it was used last, to the hour', async () => {
    const { secret } = await made();
    expect(desk.tokens.list()[0].used).toBe(0);
    const first = now;
    use(secret);
    now += 1800;
    use(secret);
    expect(desk.tokens.list()[0].used).toBe(first);
    now += 1800;
    use(secret);
    expect(desk.tokens.list()[0].used).toBe(now);
  });

  it('is refused once it is withdrawn, too old, or its maker is disabled, and is told of once each', async () => {
    const none = { isDisabled: false, code: '', codeUntil: 0 };
    const ada = { id: 'ada', name: 'Ada Vail', role: 'administrator', password: 'set', ...none } as const;
    store.put(ada);
    const [lost, old, hers] = [await made(), await made('calendar', OFFICE, 1), await made('calendar', ada)];
    expect((await desk.tokens.change({ do: 'withdraw', token: lost.id }, OFFICE)).ok).toBe(true);
    now += DAY;
    store.put({ ...ada, isDisabled: true });
    for (let n = 0; n < 3; n++) {
      expect(use(lost.secret)).toEqual({ refusal: `The access token ${lost.id} was withdrawn.` });
      expect(use(old.secret)).toEqual({ refusal: `The access token ${old.id} is too old.` });
      expect(use(hers.secret)).toEqual({
        refusal: `The access token ${hers.id} was made by the account ada, which is disabled.`,
      });
      expect(desk.tokens.use(old.secret.slice(1), ['calendar'], FROM)).toEqual({
        refusal: 'This access token is not known here.',
      });
    }
    expect(told).toHaveLength(4);
    expect(told.every((line) => line.startsWith(`A request from ${FROM} was refused. `))).toBe(true);
    store.put(ada);
    expect(use(hers.secret)).toMatchObject({ id: hers.id });
    expect(entered.filter(({ did }) => did === 'withdrawn')).toHaveLength(1);
  });

  it('is refused while its maker is no administrator, as making one requires', async () => {
    const none = { isDisabled: false, code: '', codeUntil: 0 };
    const ada = { id: 'ada', name: 'Ada Vail', role: 'administrator', password: 'set', ...none } as const;
    store.put(ada);
    const { secret, id } = await made('calendar', ada);
    expect(use(secret)).toMatchObject({ id });
    store.put({ ...ada, role: 'responsible person', at: { annex: 'responsible person' } });
    expect(use(secret)).toEqual({
      refusal: `The access token ${id} was made by the account ada, which is no administrator.`,
    });
    expect(desk.tokens.list()[0].state).toBe('its maker is no administrator');
    store.put(ada);
    expect(use(secret)).toMatchObject({ id });
  });

  it('does not come back with a clock that is put back', async () => {
    const { secret, id } = await made('calendar', OFFICE, 2);
    const behind = {
      refusal: `The clock of the host is behind the time at which the access token ${id} was made or used last.`,
    };
    now += DAY;
    expect(use(secret)).toMatchObject({ id });
    now += DAY;
    expect(use(secret)).toEqual({ refusal: `The access token ${id} is too old.` });
    const ended = now;
    now = ended - 2 * DAY;
    expect(use(secret)).toEqual(behind);
    now = ended - 20_000 * DAY;
    expect(use(secret)).toEqual(behind);
    expect(desk.tokens.list()[0].state).toBe('the clock is behind');
    // A clock is set right by seconds every day.
    now = ended - DAY - 60;
    expect(use(secret)).toMatchObject({ id });
  });

  it('is good for one thing only', async () => {
    const { secret, id } = await made('read');
    expect(use(secret)).toEqual({ refusal: `The access token ${id} is for read only.` });
  });

  it('cannot fill the lines that people read, from however many addresses it is guessed', () => {
    for (let n = 0; n < 300; n++) use(`nightproof_${n}`, `192.0.${n % 250}.${Math.floor(n / 250)}`);
    expect(told.length).toBeLessThanOrEqual(100);
  });

  it.each([
    [{ name: 'Two\nlines "', days: 30 }, /^Say what the token is for/],
    [{ name: 'Calendar', days: 731 }, /^A token is good for 1 to 730 days\.$/],
    [{ name: 'Calendar', days: 0.5 }, /^A token is good for/],
  ])('is not made as %j', async (wish, sentence) => {
    const outcome = await desk.tokens.change({ do: 'make', scope: 'read', ...wish }, OFFICE);
    expect(outcome).toEqual({ ok: false, answer: expect.stringMatching(sentence) });
    expect(entered).toEqual([]);
  });

  it('has so many beside it, and no more until one is withdrawn', async () => {
    for (let n = 0; n < TOKENS_MAX; n++) await made();
    expect((await made()).secret).toBe('');
    await desk.tokens.change({ do: 'withdraw', token: store.tokens()[0].id }, OFFICE);
    expect((await made()).secret).not.toBe('');
  });

  it('that is not there, or is withdrawn already, cannot be withdrawn', async () => {
    const { id } = await made();
    const withdraw = (token: string) => desk.tokens.change({ do: 'withdraw', token }, OFFICE);
    expect(await withdraw('00000000')).toEqual({ ok: false, answer: 'There is no access token 00000000.' });
    await withdraw(id);
    expect(await withdraw(id)).toEqual({ ok: false, answer: `The access token ${id} is withdrawn already.` });
  });
});
