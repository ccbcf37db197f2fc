// A person with a phone who looks at the luminaires, through the real page, host and log book.
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, beforeEach, expect, it } from 'vitest';
import { readInspection } from '../../host/house/notes/inspected';
import type { Served } from '../../host/serve/serve';
import { expectSound, startBrowser, type Visit, visit } from './support/browser';
import { type LodgeHost, startLodgeHost } from './support/lodgeHost';

let lodge: LodgeHost;
let host: Served;
let browser: Browser;
let guest: Visit;

beforeAll(async () => {
  lodge = await startLodgeHost(2);
  host = lodge.host;
  browser = await startBrowser();
});
afterAll(async () => {
  await browser?.close();
  await lodge?.stop();
});
beforeEach(async () => {
  await guest?.page.context().close();
  guest = await visit(browser);
});

const stored = async () =>
  (await host.logbook.after(0, 10_000, 'inspection')).map((entry) => readInspection(entry)!);

it('takes a walk point by point, shows what was found, and takes all of it back', async () => {
  const { page } = guest;
  await page.goto(`${host.url}/#/duties`);
  await page.getByRole('heading', { level: 1, name: '1 duty is due today.' }).waitFor();
  await page.getByRole('link', { name: 'Enter Walk past every luminaire' }).click();
  const form = page.getByRole('form', { name: 'Walk past every luminaire' });
  expect(await form.getByRole('radio', { checked: true }).count()).toBe(0);
  await form.getByRole('button', { name: 'Enter in the log book' }).click();
  await form.getByText('6 points have no answer yet.').waitFor();
  const clean = form.getByRole('group', { name: 'Luminaires and signs are clean.' });
  await clean.getByLabel('Not in order').check();
  await clean.getByLabel('Which luminaires').selectOption({ index: 1 });
  await clean.getByLabel('What was found').fill('full of flies');
  await form.getByLabel('Which part').selectOption({ label: 'Circuit wing-1: Wing 1' });
  await form.getByRole('button', { name: 'All others are in order' }).click();
  await form.getByLabel('Your name').fill('Ωνάση Zoë');
  await expectSound(guest, 'the form of a walk');
  // What was filled in is still there when the page has been thrown away.
  await page.reload();
  await form.getByRole('button', { name: 'Enter in the log book' }).click();
  await page.getByText(/^Walk past every luminaire: The log book has it as entry \d+\.$/).waitFor();
  const found = page.getByRole('region', { name: 'Found by people, and not entered as in order since' });
  await found.getByText('W1-01: full of flies').waitFor();
  await expectSound(guest, 'the duties with a finding');
  await found.getByRole('link', { name: 'W1-01' }).click();
  await page.getByRole('heading', { level: 1, name: 'W1-01' }).waitFor();
  await found.getByText('W1-01: full of flies').waitFor();
  const [walk] = await stored();
  expect(walk).toMatchObject({ who: 'Ωνάση Zoë', scope: 'circuit wing-1', duty: 'walk' });
  expect(walk.points.map(({ mark }) => mark)).toEqual([
    ...['in order', 'not in order', 'in order', 'in order', 'in order', 'in order'],
  ]);
  await page.goto(`${host.url}/#/log?kind=inspection`);
  await page
    .getByText(/^Ωνάση Zoë did "Walk past every luminaire" for circuit wing-1: 5 of 6 points/)
    .waitFor();
  // It was another building: withdrawn, it stays in the log book, and its finding ends.
  await page.getByText('Entered by mistake? Withdraw it').click();
  const mistake = page.getByRole('form', { name: /^Withdraw entry \d+$/ });
  await mistake.getByRole('button', { name: 'Withdraw it' }).click();
  await mistake.getByText('Say why it is withdrawn.').waitFor();
  await expectSound(guest, 'the log book with an entry to be withdrawn');
  await mistake.getByLabel('Why').fill('another building');
  await mistake.getByLabel('Your name').fill('Ωνάση Zoë');
  await mistake.getByRole('button', { name: 'Withdraw it' }).click();
  await page.getByText(/^Withdrawn on .+ by Ωνάση Zoë \(entry \d+\): another building\.$/).waitFor();
  await expectSound(guest, 'the log book with a withdrawn entry');
  await page.goto(`${host.url}/#/duties`);
  await page.getByRole('heading', { level: 1, name: '1 duty is due today.' }).waitFor();
  await found.waitFor({ state: 'detached' });
});
