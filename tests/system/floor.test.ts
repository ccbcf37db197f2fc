// Floor plans in a real browser: every state with its mark, and a picture that would do harm, which may only be seen.
import { appendFileSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, beforeEach, expect, it } from 'vitest';
import { packStatus } from '../../host/api/packed';
import type { LogbookView, StatusView } from '../../host/api/views';
import { type Lasting, serveLasting } from '../../host/serve/lasting';
import { ALL_WIDTHS, expectSound, startBrowser, type Visit, visit } from './support/browser';
import { buildLodge } from './support/lodge';

let folder: string;
let file: string;
let host: Lasting;
/** Address of the page; it stays when the host takes over another site. */
let url: string;
let browser: Browser;
let guest: Visit;
/** A machine elsewhere, with the same picture and no policy. */
let outside: Server;
let elsewhere: string;
let asked: string[];

const PLANS = [
  '  - { id: ground, name: Ground floor, picture: ground.svg, floor: ground, areas: [wing-1, wing-2] }',
  '  - { id: hostile, name: Hostile, picture: hostile.svg, floor: ground }',
  '  - { id: gone, name: Gone, picture: gone.svg, floor: ground }',
];

/** The lodge with plans; of its first two wings all luminaires but one are on the first. */
function planned(text: string): string {
  let n = 0;
  return text
    .replace('circuits:\n', '# The porter keeps this comment.\ncircuits:\n')
    .replace('areas:\n', `floorPlans:\n${PLANS.join('\n')}\nareas:\n`)
    .replace(/(id: W[12]-0\d.*) }/g, (_, lamp: string) => {
      n++;
      const spot = `floorPlan: ground, across: ${100 - n * 12}, down: ${n % 2 === 0 ? 30 : 70}`;
      return n === 8 ? `${lamp} }` : `${lamp}, ${spot} }`;
    });
}

const GROUND =
  '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 900 500"><style>path{fill:none;stroke:#333}</style>' +
  '<path d="M9 9H890V490H9zM450 9V490"/></svg>';

function hostile(): string {
  const call = (how: string) => `top.harm = '${how}'; new Image().src = '${elsewhere}/${how}'`;
  return `<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 900 500" onload="${call('onload')}">
    <style>@import url("${elsewhere}/style.css"); rect { fill: url("${elsewhere}/fill.svg#a"); }</style>
    <script>${call('script')}</script>
    <script href="${elsewhere}/script.js"/>
    <image href="${elsewhere}/image.png" width="9" height="9"/>
    <use href="${elsewhere}/use.svg#a"/>
    <rect width="900" height="500" onclick="${call('click')}"/>
    <foreignObject width="90" height="90"><iframe xmlns="http://www.w3.org/1999/xhtml" src="${elsewhere}/frame"></iframe></foreignObject>
  </svg>`;
}

beforeAll(async () => {
  outside = createServer((request, response) => {
    asked.push(String(request.url));
    response.setHeader('Content-Type', 'image/svg+xml');
    response.end(hostile());
  });
  await new Promise<void>((resolve) => outside.listen(0, '127.0.0.1', resolve));
  elsewhere = `http://127.0.0.1:${(outside.address() as AddressInfo).port}`;
  folder = mkdtempSync(join(tmpdir(), 'nightproof-floor-'));
  writeFileSync(join(folder, 'ground.svg'), GROUND);
  writeFileSync(join(folder, 'hostile.svg'), hostile());
  const lodge = buildLodge(folder, 3, 60, 600, planned);
  file = lodge.file;
  const db = join(folder, 'log.db');
  host = await serveLasting({ site: lodge.site, siteFile: file, db, port: 0, brokerPort: 0, quiet: true });
  url = host.served().url;
  browser = await startBrowser();
});
afterAll(async () => {
  await browser?.close();
  await host?.stop();
  rmSync(folder, { recursive: true, force: true });
  outside?.close();
});
beforeEach(async () => {
  asked = [];
  await guest?.page.close();
  guest = await visit(browser);
});

const harm = 'globalThis.harm ?? "none"';

it('shows a picture with script and foreign addresses, and runs and fetches nothing of it', async () => {
  const { page } = guest;
  // Elsewhere it does what it was made for, or nothing would be shown by its silence here.
  await page.goto(`${elsewhere}/`);
  await expect.poll(() => page.evaluate(harm)).not.toBe('none');
  await expect.poll(() => asked).toEqual(expect.arrayContaining(['/script', '/style.css', '/image.png']));
  await page.goto('about:blank');
  // What that page has asked for may still be on its way.
  for (let before = -1; before !== asked.length; await page.waitForTimeout(500)) before = asked.length;
  asked = [];
  await page.goto(`${url}/#/floor/hostile`);
  const picture = page.getByRole('img', { name: 'Plan: Hostile' });
  await picture.waitFor();
  await expect
    .poll(() =>
      picture.evaluate((it) => [
        (it as HTMLImageElement).naturalWidth > 0,
        (it as HTMLImageElement).complete,
      ]),
    )
    .toEqual([true, true]);
  await picture.click();
  expect([await page.evaluate(harm), asked]).toEqual(['none', []]);
  expect(guest.complaints.slice(-1)).not.toContain(url);
  const address = `${url}/floor-plans/hostile`;
  for (const visits of ['once', 'again from the cache']) {
    await page.goto(address);
    await page.locator('rect').dispatchEvent('click');
    expect([visits, await page.evaluate(harm), asked]).toEqual([visits, 'none', []]);
  }
  const first = await fetch(address);
  const again = await fetch(address, { headers: { 'If-None-Match': first.headers.get('etag')! } });
  expect([first.status, again.status]).toEqual([200, 304]);
  for (const answer of [first, again]) {
    expect(answer.headers.get('content-security-policy')).toMatch(/^default-src 'none'; .*sandbox$/);
    expect(answer.headers.get('x-content-type-options')).toBe('nosniff');
  }
});

/** The states of all luminaires on the first plan, W1-01 to W2-03. */
const STATES = ['fail', 'under test', 'under test', 'under test', 'not known', 'not known', 'not known'];

/** The host's own answer, with a test in the first wing and a second that is silent. */
async function withStates(): Promise<void> {
  const { page } = guest;
  const answer = await fetch(`${url}/api/status`);
  const status = (await answer.json()) as StatusView;
  const [first, second] = status.controllers;
  Object.assign(first, { contact: 'reporting', phase: 'brief', kind: 'brief' });
  Object.assign(first.lamps[0], { verdict: 'fail', reason: 'not lit after 5 s' });
  Object.assign(second, { contact: 'silent', heardAt: status.now - 90_000 });
  Object.assign(second.lamps[0], { verdict: 'pass' });
  await page.addInitScript('window.EventSource = class { addEventListener() {} close() {} }');
  await page.route('**/api/status/packed', (route) => route.fulfill({ json: packStatus(status) }));
}

it('shows each luminaire where it is with its state, and the same as a list', async () => {
  await withStates();
  const { page } = guest;
  await page.goto(url);
  await page.getByRole('link', { name: 'Ground floor', exact: true }).click();
  await page.getByRole('heading', { level: 1, name: 'Ground floor' }).waitFor();
  const marks = page.getByRole('list', { name: 'Luminaires on the plan' }).getByRole('link');
  await marks.first().waitFor();
  const names = await marks.evaluateAll((all) => all.map((one) => one.getAttribute('aria-label')));
  const sorted = names.map((name) => String(name).split(', ', 2)).sort();
  expect(sorted).toEqual(STATES.map((state, i) => [`W${i < 4 ? 1 : 2}-0${(i % 4) + 1}`, state]));
  expect(names[0]).toBe('W1-01, fail, Corridor 1: not lit after 5 s');
  const list = page.getByRole('region', { name: 'On the plan' }).getByRole('listitem');
  expect(await list.count()).toBe(7);
  await list.filter({ hasText: /W2-01.*not known its controller is silent; last result: pass/ }).waitFor();
  await page.getByRole('region', { name: 'Not placed' }).getByRole('link', { name: 'W2-04' }).waitFor();
  await page.getByText('7 luminaires on the plan, 1 not placed.').waitFor();
  for (const colorScheme of ['dark', 'light'] as const) {
    await page.emulateMedia({ colorScheme });
    await expectSound(guest, `the floor plan, ${colorScheme}`, ALL_WIDTHS);
  }
  await page.setViewportSize({ width: 390, height: 800 });
  const boxes = await marks.evaluateAll((all) =>
    all.map((one) => one.getBoundingClientRect().toJSON() as DOMRect),
  );
  for (const [i, { x, y, width, height }] of boxes.entries()) {
    expect(Math.min(width, height)).toBeGreaterThanOrEqual(24);
    for (const other of boxes.slice(i + 1)) expect(Math.hypot(other.x - x, other.y - y)).toBeGreaterThan(24);
  }
  await page.reload();
  await marks.first().waitFor();
  // The most urgent can be seen without scrolling sideways.
  const { x } = (await marks.first().boundingBox())!;
  expect(x).toBeGreaterThan(0);
  expect(x).toBeLessThan(390);
  await marks.first().press('Enter');
  await page.getByRole('heading', { level: 1, name: 'W1-01' }).waitFor();
  await page.getByRole('link', { name: 'On the plan' }).click();
  await page.locator('.spot.sought').waitFor();
});

it('says where a picture cannot be shown, and lists the luminaires all the same', async () => {
  const { page } = guest;
  await page.goto(`${url}/#/floor/gone`);
  await page.getByRole('alert').getByText('The picture of this plan cannot be shown.').waitFor();
  expect(await page.getByRole('region', { name: 'Not placed' }).getByRole('listitem').count()).toBe(5);
  const answer = await fetch(`${url}/floor-plans/gone`);
  expect([answer.status, await answer.json()]).toEqual([
    404,
    { ok: false, answer: expect.stringMatching(/^The picture cannot be shown: there is no such file; /) },
  ]);
  expect(await (await fetch(`${url}/floor-plans/..%2flodge.yaml`)).json()).toMatchObject({
    answer: 'There is no floor plan "../lodge.yaml" in this site.',
  });
});

it('takes a place by keys alone, into the file with its comments and into the log book', async () => {
  const { page } = guest;
  await page.goto(`${url}/#/floor/ground`);
  await page.getByRole('button', { name: 'Place luminaires' }).press('Enter');
  const which = page.getByRole('combobox', { name: 'Luminaire' });
  await expect.poll(() => which.evaluate((it) => it === document.activeElement)).toBe(true);
  await page.keyboard.type('W2-04');
  await page.keyboard.press('Tab');
  await page.keyboard.press('Enter');
  const mark = page.getByRole('button', { name: 'W2-04, Corridor 4' });
  await expect.poll(() => mark.evaluate((it) => it === document.activeElement)).toBe(true);
  for (const key of ['ArrowRight', 'ArrowRight', 'ArrowUp', 'Shift+ArrowUp']) await page.keyboard.press(key);
  await page.getByRole('status').getByText('W2-04: 52 % across, 48.9 % down.').waitFor();
  await expectSound(guest, 'placing luminaires', ALL_WIDTHS);
  await page.getByLabel('Your name').fill('Jürgen');
  await page.keyboard.press('Enter');
  await page
    .getByRole('status')
    .getByText(/^Saved, and entered in the log book/)
    .waitFor();
  const text = readFileSync(file, 'utf8');
  expect(text).toMatch(/id: W2-04, .*floorPlan: ground, across: 52, down: 48\.9 }/);
  expect(text).toContain('# The porter keeps this comment.\n');
  await page.getByText('8 luminaires on the plan.').waitFor();
  // By the host itself and not by what the page still remembers. While it takes the new site over nobody listens.
  const isReloaded = () =>
    page.reload().then(
      () => true,
      () => false,
    );
  await expect.poll(isReloaded).toBe(true);
  await page.getByRole('link', { name: 'W2-04, not known, Corridor 4' }).waitFor();
  const book = (await (await fetch(`${url}/api/logbook?kind=site`)).json()) as LogbookView;
  expect(book.entries[0].text).toMatch(/^Jürgen changed the site: luminaire W2-04/);
});

it('takes a place by a click, and keeps what was written into the file meanwhile', async () => {
  const { page } = guest;
  await page.goto(`${url}/#/floor/ground`);
  await page.getByRole('button', { name: 'Place luminaires' }).click();
  await page.getByRole('button', { name: 'W1-02, Corridor 2' }).click();
  const { width, height } = (await page.getByRole('img', { name: 'Plan: Ground floor' }).boundingBox())!;
  await page.locator('.plan-target').click({ position: { x: width / 4, y: height / 2 } });
  await page
    .getByRole('status')
    .getByText(/^W1-02: 2[45](\.\d)? % across, (50|49\.\d) % down\.$/)
    .waitFor();
  await page.getByRole('combobox', { name: 'Luminaire' }).selectOption('W1-03');
  await page.getByRole('button', { name: 'Take W1-03 off the plan' }).click();
  appendFileSync(file, '# Written by hand.\n');
  await page.getByLabel('Your name').fill('Jürgen');
  const save = page.getByRole('button', { name: 'Save 2 places' });
  await save.click();
  await page
    .getByRole('alert')
    .getByText(/^Nothing was saved: the site file has been changed since/)
    .waitFor();
  await save.click();
  await page
    .getByRole('status')
    .getByText(/^Saved, and entered in the log book/)
    .waitFor();
  const text = readFileSync(file, 'utf8');
  expect(text).toContain('# Written by hand.\n');
  expect(text).toMatch(/id: W1-02, .*across: 2[45](\.\d)?, down: (50|49\.\d) }/);
  expect(text).toMatch(/id: W1-03, [^\n]*batteryMilliamps: \d+[^\n]*\n/);
  expect(text).not.toMatch(/id: W1-03, .*floorPlan/);
});
