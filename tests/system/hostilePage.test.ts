// The page on a network and what other pages in the same browser try, in Chromium: a name that is made to point here, a
// foreign page and one on another port of this machine that send orders, and scripts in the words of people.

import { mkdtempSync, rmSync } from 'node:fs';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type Browser, chromium, type Page } from 'playwright-core';
import { afterAll, beforeAll, expect, it, vi } from 'vitest';
import { type Served, serve } from '../../host/serve/serve';
import { loadSite } from '../../host/site/load';
import { CHROMIUM, expectSound, FLAGS, visit, WIDTHS } from './support/browser';
import { buildLodge } from './support/lodge';

const PASSWORD = 'five llamas hum at dusk';
const EVIL = 'hostile.example.org';
const SCRIPT = '<img src=x onerror=alert(1)>';

let folder: string;
let host: Served;
let browser: Browser;
let foreign: Server;
let said = '';
let port: string;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-hostile-'));
  const { file } = buildLodge(folder, 1, 60, 600, (text) => text.replace('Corridor 1,', `"${SCRIPT}",`));
  const loaded = loadSite(file);
  if ('mistakes' in loaded) throw new Error(loaded.mistakes.map((one) => one.message).join('\n'));
  const told = vi.spyOn(process.stdout, 'write').mockImplementation((text) => {
    said += String(text);
    return true;
  });
  const places = {
    db: join(folder, 'log.db'),
    port: 0,
    brokerPort: 0,
    host: '0.0.0.0',
    names: ['lights.local'],
  };
  host = await serve({ site: loaded.site, siteFile: file, ...places });
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
  const form = page.getByRole('form', { name: 'First administrator' });
  await form.getByLabel('Account').fill('ada');
  await form.getByLabel('Full name, as in the log book').fill(SCRIPT);
  await form.getByLabel('One-time code').fill(/until the host stops: (\S+)/.exec(said)?.[1] ?? '');
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
