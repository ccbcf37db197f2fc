// What the page shows of an order while the host answers only a part of its questions.
import { afterEach, expect, it, vi } from 'vitest';
import { restoreNow } from '../../../../host/page/parts/order';
import { PageStore } from '../../../../host/page/state/store';

afterEach(() => vi.unstubAllGlobals());

const json = (body: object, status = 200) => new Response(JSON.stringify(body), { status });
const REFUSED = { ok: false, answer: 'The order was not sent: there is no connection to the MQTT broker.' };

/** A host whose log book answers when the test says so. */
function hangingLogbook() {
  let answer: (entries: object[]) => void = () => {};
  const logbook = new Promise<Response>((resolve) => {
    answer = (entries) => resolve(json({ entries }));
  });
  vi.stubGlobal('fetch', (path: string) => (/\/orders$/.test(path) ? json(REFUSED, 503) : logbook));
  return answer;
}

it('says what became of the order to restore a supply while the log book does not answer', async () => {
  const answerLogbook = hangingLogbook();
  const store = new PageStore();
  const done = restoreNow(store, 'wing-1', 'Zoë');
  await expect.poll(() => store.state.outcome).toMatchObject(REFUSED);
  expect(store.state.outcome?.after).toBe(Number.POSITIVE_INFINITY);
  answerLogbook([]);
  await done;
  // What follows in the log book is that of this order.
  expect(store.state.outcome?.after).toBe(0);
});

it('shows nothing again that was dismissed before the log book answered', async () => {
  const answerLogbook = hangingLogbook();
  const store = new PageStore();
  const done = restoreNow(store, 'wing-1', 'Zoë');
  await expect.poll(() => store.state.outcome).not.toBeNull();
  store.change((s) => ({ ...s, outcome: null }));
  answerLogbook([]);
  await done;
  expect(store.state.outcome).toBeNull();
});
