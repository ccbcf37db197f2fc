// Several buildings in Chromium: the overview, the way to one of them and back, and entries that wait.
import { execFile } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, beforeEach, expect, it } from 'vitest';
import type { DutiesView } from '../../host/api/duties';
import { type ServedSeveral, serveSeveral } from '../../host/serve/several';
import { siteFilesOf } from '../../host/serve/siteFiles';
import { SMALL } from '../host/site/small';
import { ALL_WIDTHS, expectSound, startBrowser, type Visit, visit } from './support/browser';

let folder: string;
let host: ServedSeveral;
let browser: Browser;
let guest: Visit;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-buildings-'));
  const site = (id: string, name: string) =>
    SMALL.replace('id: mill', `id: ${id}`).replace('The old mill', name);
  writeFileSync(join(folder, 'mill.yaml'), SMALL);
  writeFileSync(join(folder, 'annex.yaml'), site('annex', 'Annex'));
  writeFileSync(join(folder, 'depot.yaml'), site('depot', 'Depot').replace('NiMH', 'NiMHx'));
  host = await serveSeveral({
    ...{ files: siteFilesOf([folder]), folder: join(folder, 'books'), port: 0, brokerPort: 0, quiet: true },
  });
  await host.started;
  browser = await startBrowser();
});
afterAll(async () => {
  await browser?.close();
  await host?.stop();
  rmSync(folder, { recursive: true, force: true });
});
beforeEach(async () => {
  await guest?.page.context().close();
  guest = await visit(browser);
});

const PASSWORD = 'five llamas hum at dusk';
const MAIN = join(import.meta.dirname, '../../build/host/main.js');

function post(path: string, body: object): Promise<Response> {
  const headers = { 'content-type': 'application/json' };
  return fetch(host.url + path, { method: 'POST', headers, body: JSON.stringify(body) });
}

/** Makes an account by the command, and chooses its password. @returns the status of that */
async function signedIn(account: string, ...args: string[]): Promise<number> {
  const books = ['--logbooks', join(folder, 'books'), '--name', account, '--who', 'Ada Vail'];
  const { stdout } = await promisify(execFile)(process.execPath, [
    MAIN,
    'accounts',
    'add',
    account,
    ...books,
    ...args,
  ]);
  const code = /good for a week: (\S+)/.exec(stdout)?.[1] ?? '';
  return (await post('/api/session/code', { account, code, password: PASSWORD })).status;
}

async function enter(account: string): Promise<void> {
  const { page } = guest;
  await page.goto(`${host.url}/`);
  const form = page.getByRole('form', { name: 'Sign in' });
  await form.getByLabel('Account').fill(account);
  await form.getByLabel('Password', { exact: true }).fill(PASSWORD);
  await page.keyboard.press('Enter');
  await page.getByRole('table').waitFor();
}

it('the overview names each building with its state, and leads to it and back', async () => {
  const { page } = guest;
  for (const colorScheme of ['dark', 'light'] as const) {
    await page.emulateMedia({ colorScheme });
    await page.goto(`${host.url}/`);
    await page.getByRole('heading', { level: 1, name: '3 buildings' }).waitFor();
    await expectSound(guest, `overview, ${colorScheme}`, ALL_WIDTHS);
  }
  const rows = await page.getByRole('row').allInnerTexts();
  expect(rows[1]).toMatch(/depot\.yaml[\s\S]*Not served[\s\S]*did you mean "NiMH"/);
  await page.getByRole('link', { name: 'Annex' }).click();
  await page.waitForURL(`${host.url}/b/annex/`);
  await page.getByRole('heading', { level: 1, name: /nothing is known/ }).waitFor();
  for (const name of ['Defects', 'Year', 'Duties', 'Log book', 'Reports', 'Site']) {
    await page.getByRole('navigation').getByRole('link', { name }).click();
    await page.getByRole('heading', { level: 1 }).waitFor();
    expect(await page.getByRole('banner').textContent(), name).toContain('Annex');
  }
  await expectSound(guest, 'one building');
  await page.getByRole('link', { name: 'All buildings' }).click();
  await page.waitForURL(`${host.url}/`);
  expect(guest.complaints).toEqual([]);
});

it('an entry that waits for one building is seen and sent on the page of that one only', async () => {
  const { page } = guest;
  await page.goto(`${host.url}/b/annex/#/`);
  await page.getByRole('heading', { level: 1 }).waitFor();
  const { duties } = (await (await fetch(`${host.url}/b/annex/api/duties`)).json()) as DutiesView;
  const [{ id: duty, title, points }] = duties;
  const marks = points.map(({ id }) => ({
    point: id,
    mark: 'not applicable',
    luminaires: [],
    words: 'None.',
  }));
  const done = Math.floor(Date.now() / 1000);
  const request = {
    id: 'waits-for-annex',
    duty,
    who: 'Ada Vail',
    done,
    scope: 'site',
    points: marks,
    words: '',
  };
  await page.evaluate(
    (entry) =>
      new Promise<void>((resolve, reject) => {
        const open = indexedDB.open('nightproof', 1);
        open.onupgradeneeded = () =>
          open.result.createObjectStore('inspections', { keyPath: 'n', autoIncrement: true });
        open.onerror = () => reject(new Error('not opened'));
        open.onsuccess = () => {
          const work = open.result.transaction('inspections', 'readwrite');
          work.objectStore('inspections').add(entry);
          work.oncomplete = () => resolve(open.result.close());
        };
      }),
    { site: 'annex', title, request, refused: '' },
  );
  await page.goto(`${host.url}/`);
  await page.getByText('1 entry on this device waits until the page of the building is opened.').waitFor();
  await page.goto(`${host.url}/b/mill/#/duties`);
  await page.getByRole('heading', { level: 1 }).waitFor();
  await page.waitForTimeout(500);
  expect(await page.getByText('waits for the connection').count()).toBe(0);
  await page.goto(`${host.url}/b/annex/#/duties`);
  const entries = async (building: string): Promise<number> => {
    const answer = await fetch(`${host.url}/b/${building}/api/logbook?kind=inspection`);
    return ((await answer.json()) as { total: number }).total;
  };
  await expect.poll(() => entries('annex'), { timeout: 30_000 }).toBe(1);
  expect(await entries('mill')).toBe(0);
});

it('an entry about one building is not taken by another, whoever sends it there', async () => {
  const body = {
    id: 'wrong-way',
    site: 'annex',
    duty: 'x',
    who: 'Ada Vail',
    done: 1,
    scope: 'site',
    points: [],
    words: '',
  };
  const answer = await fetch(`${host.url}/b/mill/api/inspections`, {
    ...{ method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) },
  });
  expect(answer.status).toBe(409);
  // Not refused for good: it stays on the device.
  expect(await answer.json()).toMatchObject({ ok: false, id: 'wrong-way', refused: false });
});

it('an administrator gives roles by building, and who has none in a building is told so there', async () => {
  const { page } = guest;
  await signedIn('ada', '--role', 'administrator');
  await signedIn('zoe', '--role', 'electrician', '--building', 'annex');
  await enter('zoe');
  expect(await page.getByRole('row').count()).toBe(2);
  await page.goto(`${host.url}/b/mill/`);
  await page.getByText('You are signed in as zoe, who has no role in this building.').waitFor();
  await expectSound(guest, 'no role here');
  await page.context().clearCookies();
  await enter('ada');
  await page.goto(`${host.url}/#/accounts`);
  await page.reload();
  await page.getByText('(zoe): Annex: electrician').click();
  await expectSound(guest, 'accounts of several buildings');
  const zoe = page.getByRole('listitem').filter({ hasText: 'zoe' });
  await zoe.getByLabel('Building').selectOption('The old mill');
  await zoe.getByLabel('Role').selectOption('viewer');
  await zoe.getByRole('button', { name: 'Give this role' }).click();
  await page.getByText('(zoe): Annex: electrician, The old mill: viewer').waitFor();
});
