// What waits on a phone, sent by the page's own code to a real host.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import type { InspectionRequest } from '../../../host/api/duties';
import { FORMS } from '../../../host/duties/forms';
import { readInspection } from '../../../host/house/notes/inspected';
import { sendInspection } from '../../../host/page/state/host';
import { EMPTY_OUTBOX, Outbox, type OutboxState, type Pending } from '../../../host/page/state/outbox';
import { type Served, serve } from '../../../host/serve/serve';
import { HOUSE } from '../house/site';
import { KEYS } from '../logbook/records';

const NOW = 1_770_000_000;
const PATIENCE = { timeout: 20_000 };

let folder: string;
let host: Served;
let now: number;
let state: OutboxState;
let kept: Pending[];
let outbox: Outbox;
/** What stands between phone and host; true to let a request through. */
let passes: (request: InspectionRequest) => boolean;

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-outbox-'));
  now = NOW;
  host = await serve({
    ...{ site: HOUSE, siteFile: 'house.yaml', db: join(folder, 'log.db'), port: 0, brokerPort: 0 },
    ...{ keys: KEYS, clock: { nowMs: () => now * 1000 }, quiet: true },
  });
  [state, kept, passes] = [EMPTY_OUTBOX, [], () => true];
  outbox = new Outbox({
    store: {
      all: async () => [...kept],
      add: async (entry) => void kept.push({ ...entry, n: kept.length + 1 }),
      put: async (entry) => {
        kept = kept.map((one) => (one.n === entry.n ? entry : one));
      },
      remove: async (n) => {
        kept = kept.filter((one) => one.n !== n);
      },
    },
    send: async (request) =>
      passes(request)
        ? sendInspection(request, host.url)
        : { ok: false, id: '', refused: true, answer: 'Log in to use this network.' },
    onChange: (next) => {
      state = next;
    },
  });
});
afterEach(async () => {
  outbox.reached('another');
  await host.stop();
  rmSync(folder, { recursive: true, force: true });
});

function look(id: string, words: string, done = NOW): Pick<Pending, 'title' | 'request'> {
  const points = FORMS.key.points.map(({ id: point }) => ({
    ...{ point, mark: 'in order' as const, luminaires: [], words: '' },
  }));
  return { title: 'Key', request: { id, duty: 'key', who: 'Zoë', done, scope: 'site', points, words } };
}

const stored = async () =>
  (await host.logbook.after(0, 100, 'inspection')).map((entry) => readInspection(entry)!.words);

it.each([
  ['a little too long', 'x'.repeat(501)],
  ['far too long', 'x'.repeat(2001)],
  ['longer than any inspection', 'x'.repeat(70_000)],
])('an entry that is %s is refused by its id, and does not hold up the next', async (_what, words) => {
  outbox.reached('demo');
  await outbox.add(look('first-entry', words));
  await outbox.add(look('second-entry', 'good'));
  await expect.poll(stored, PATIENCE).toEqual(['good']);
  await expect
    .poll(() => state.pending, PATIENCE)
    .toMatchObject([
      { n: 1, refused: expect.stringMatching(/^(What you write must have 500|The entry is too)/) },
    ]);
});

it('an entry is not refused for good because the clock of the host is behind', async () => {
  now = NOW - 3600;
  outbox.reached('demo');
  await outbox.add(look('first-entry', 'ahead'));
  await outbox.add(look('second-entry', 'earlier', NOW - 4000));
  await expect.poll(stored, PATIENCE).toEqual(['earlier']);
  await expect.poll(() => state.pending, PATIENCE).toMatchObject([{ n: 1, refused: '' }]);
  expect(state.said.get(1)).toMatch(/^That time has not come yet: the clock of the host says/);
  now = NOW;
  outbox.kick();
  await expect.poll(stored, PATIENCE).toEqual(['earlier', 'ahead']);
  await expect.poll(() => state.pending, PATIENCE).toEqual([]);
});

it('what was refused is sent again when somebody asks', async () => {
  outbox.reached('demo');
  const { title, request } = look('first-entry', 'good');
  kept = [{ n: 1, site: 'demo', title, request, refused: 'The site has no luminaire A-99.' }];
  outbox.kick();
  await expect.poll(() => state.pending, PATIENCE).toHaveLength(1);
  expect(await stored()).toEqual([]);
  await outbox.retry(1);
  await expect.poll(stored, PATIENCE).toEqual(['good']);
});

it('an entry that something else always answers holds up the others for some tries only', async () => {
  passes = ({ id }) => id !== 'first-entry';
  outbox.reached('demo');
  await outbox.add(look('first-entry', 'stopped on its way'));
  await outbox.add(look('second-entry', 'good'));
  for (let i = 0; i < 3; i++) outbox.kick();
  expect(await stored()).toEqual([]);
  await expect
    .poll(async () => {
      outbox.kick();
      return stored();
    }, PATIENCE)
    .toEqual(['good']);
  await expect.poll(() => state.pending, PATIENCE).toMatchObject([{ n: 1, refused: '' }]);
  expect(state.said.get(1)).toMatch(/^Something between this device and the host/);
});
