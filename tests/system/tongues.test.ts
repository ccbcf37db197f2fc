// The page in every language: whole on a desktop and on a phone, and nothing left in English but what is marked so.
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, beforeEach, expect, it } from 'vitest';
import { en } from '../../host/page/tongues/en';
import type { Tongue } from '../../host/page/tongues/names';
import { COMMANDS, leaves, runsOf, told, VALUES } from '../host/page/tongues/leaves';
import { TONGUES } from '../support/tongues';
import { expectSound, type Visit, visit } from './support/browser';
import { type LodgeDemo, startLodgeDemo } from './support/lodgeDemo';

const CIRCUIT = 'wing-1';
const ENGLISH = new Set(leaves(en).flatMap(([, leaf]) => runsOf(told(leaf, VALUES), 4)));

let show: LodgeDemo;
let guest: Visit;

beforeAll(async () => {
  show = await startLodgeDemo(CIRCUIT);
  // However busy the machine, the test still runs when it is looked at.
  show.setPace(1);
});
afterAll(() => show?.stop());
beforeEach(async () => {
  await guest?.page.close();
  guest = await visit(show.browser);
});

/** Four words in a row of the page's English ones, in what is not marked as English. */
async function leftEnglish(page: Page): Promise<string[]> {
  const texts = await page.evaluate(() => {
    const all = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    const found: string[] = [];
    for (let node = all.nextNode(); node; node = all.nextNode())
      if (!node.parentElement?.closest('body [lang=en]')) found.push(node.textContent ?? '');
    return found;
  });
  return texts
    .flatMap((text) => runsOf(text, 4))
    .filter((run) => ENGLISH.has(run) && !COMMANDS.includes(run));
}

/** Waits for words; loads the page again where a busy host has not answered it in its own patience. */
async function see(words: string): Promise<void> {
  const found = guest.page.getByText(words).first();
  for (let tries = 0; tries < 3; tries++) {
    const isThere = await found.waitFor({ timeout: 30_000 }).then(
      () => true,
      () => false,
    );
    if (isThere) return;
    await guest.page.reload();
  }
  await found.waitFor();
}

/** Opens the page at an address, and speaks that language from then on. */
async function speak(tongue: Tongue, hash = ''): Promise<void> {
  const { page } = guest;
  await page.goto(`${show.demo.served.url}/${hash}`);
  await page.locator('#tongue').selectOption(tongue);
  await page.locator(`html[lang=${tongue}]`).waitFor();
}

it.each(['de', 'fr', 'it'] as const)('speaks %s on every page a person needs at night', async (tongue) => {
  const { page } = guest;
  const words = TONGUES[tongue];
  await speak(tongue);
  await page.getByRole('button', { name: words.orders.restore.button }).waitFor();
  await expectSound(guest, `Tonight in ${tongue}`, [390]);
  await page.goto(`${show.demo.served.url}/#/luminaire/W1-01`);
  await page.getByRole('button', { name: words.orders.repaired.button }).click();
  await page.getByRole('button', { name: words.orders.repaired.yes }).waitFor();
  await expectSound(guest, `the repair of a luminaire in ${tongue}`, [390]);
  await page.goto(`${show.demo.served.url}/#/notice`);
  await page.getByRole('heading', { level: 1, name: words.notice.title }).waitFor();
  await page.getByText(words.notice.someFailed).waitFor();
  await expectSound(guest, `the notice in ${tongue}`, [390]);
});

it.each([
  ['', TONGUES.de.tonight.building],
  ['#/defects', TONGUES.de.defects.open],
  ['#/year', TONGUES.de.frame.year],
  ['#/duties', TONGUES.de.duties.intro],
  ['#/log', TONGUES.de.frame.log],
  ['#/reports', TONGUES.de.frame.reports],
  ['#/circuit/wing-1', TONGUES.de.circuit.orders],
  ['#/luminaire/W1-01', TONGUES.de.luminaire.results],
  ['#/notice', TONGUES.de.notice.title],
  ['#/site', TONGUES.de.site.circuits],
  ['#/site/building', TONGUES.de.site.form.save],
  ['#/site/luminaires/W1-01', TONGUES.de.site.form.save],
])('leaves nothing in English on the German page "%s"', async (hash, seen) => {
  await speak('de', hash);
  await see(seen);
  expect(await leftEnglish(guest.page)).toEqual([]);
});

it('finds English where it is left', async () => {
  await speak('en');
  await guest.page.getByText(en.tonight.building).waitFor();
  expect(await leftEnglish(guest.page)).not.toEqual([]);
});

it('keeps the language that was chosen, and what is typed while it changes', async () => {
  const { page } = guest;
  await speak('en', '#/luminaire/W1-01');
  await page.getByRole('button', { name: en.orders.repaired.button }).click();
  await page.getByRole('textbox', { name: en.orders.yourName }).fill('Maren Tollick');
  await page.locator('#tongue').selectOption('de');
  const name = page.getByRole('textbox', { name: TONGUES.de.orders.yourName });
  await name.waitFor();
  expect(await name.inputValue()).toBe('Maren Tollick');
  await page.reload();
  await page.getByRole('button', { name: TONGUES.de.orders.repaired.button }).waitFor();
  expect(await page.locator('html').getAttribute('lang')).toBe('de');
});

it('begins in the language of the browser', async () => {
  const page = await show.browser.newPage({ locale: 'it-CH' });
  await page.goto(show.demo.served.url);
  await page.getByRole('link', { name: TONGUES.it.frame.tonight }).waitFor();
  await page.close();
});
