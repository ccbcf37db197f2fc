// What the host has against whoever signs in, as the host itself says it, in the languages of the page.
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { Desk } from '../../../../host/accounts/desk';
import { openAccounts } from '../../../../host/accounts/store';
import { PASSWORD_MAX } from '../../../../host/api/accounts';
import type { Tongue } from '../../../../host/page/tongues/names';
import { hostWords } from '../../../../host/page/words/hostWords';
import { speak, TONGUES } from '../../../support/tongues';
import { runsOf } from '../tongues/leaves';

const GOOD = 'five llamas hum at dusk';
const HERE = { address: '192.0.2.7', device: '' };
const BY = { id: '', name: 'Ada Vail' };

let said: string[] = [];

beforeAll(async () => {
  const store = openAccounts(':memory:');
  const clock = { nowMs: () => 1_800_000_000_000, upMs: () => 1_800_000_000_000 };
  const newDesk = (more: object) =>
    new Desk({ ...{ store, clock, enter: async () => {}, known: () => ['Museum of Tides'] }, ...more });
  const first = newDesk({ firstCode: 'never typed' });
  const desk = newDesk({});
  const answers: Promise<{ ok: boolean; answer: string }>[] = [];
  answers.push(first.useCode({ account: 'zoe', code: 'wrong', password: GOOD, name: 'Zoë' }, HERE.address));
  await Promise.all(answers);
  const { code = '' } = await desk.change(
    { do: 'make', account: 'zoe', name: 'Zoë Łuk', role: 'administrator' },
    BY,
  );
  const choosing = (password: string) => desk.useCode({ account: 'zoe', code, password }, HERE.address);
  for (const password of ['short', 'x'.repeat(PASSWORD_MAX + 1), 'zoe zoe zoe zoe', 'museum of tides'])
    answers.push(choosing(password));
  await Promise.all(answers);
  answers.push(choosing('passwordpassword'));
  await choosing(GOOD);
  answers.push(choosing(GOOD));
  const { token = '' } = await desk.signIn({ account: 'zoe', password: GOOD }, HERE);
  const guest = desk.guest(token)!;
  answers.push(desk.prove(guest, 'not it at all', HERE.address));
  answers.push(desk.usePasskey('{}', { host: 'localhost', origin: 'http://localhost' }, HERE.address));
  const guess = () => desk.signIn({ account: 'zoe', password: 'not it at all' }, HERE);
  // More at once than are checked, and then more than anybody may try.
  for (let n = 0; n < 6; n++) answers.push(guess());
  await Promise.all(answers);
  for (let n = 0; n < 12; n++) answers.push(guess());
  const wish = { account: 'Zoë!', name: '"', role: 'viewer' } as const;
  answers.push(desk.change({ do: 'make', ...wish, account: 'zoe', name: 'Zoë Łuk' }, BY));
  const all = await Promise.all(answers);
  said = [...new Set(all.filter(({ ok }) => !ok).map(({ answer }) => answer))];
  store.close();
});
afterEach(() => speak('en'));
afterAll(() => speak('en'));

const OTHERS = (Object.keys(TONGUES) as Tongue[]).filter((tongue) => tongue !== 'en');

describe.each(OTHERS)('in %s', (tongue) => {
  it('the page has words for every refusal of the forms to sign in', () => {
    speak(tongue);
    expect(said.length).toBeGreaterThan(10);
    const isLeft = (sentence: string) => {
      const english = new Set(runsOf(sentence, 4));
      const words = hostWords(sentence);
      return words === sentence || runsOf(words, 4).some((run) => english.has(run));
    };
    expect(said.filter(isLeft)).toEqual([]);
  });
});
