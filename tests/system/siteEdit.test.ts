// People change the site on the page, in Chromium, while the host runs.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, beforeEach, expect, it } from 'vitest';
import { type Lasting, serveLasting } from '../../host/serve/lasting';
import { loadSite } from '../../host/site/load';
import { SMALL } from '../host/site/small';
import { ALL_WIDTHS, expectSound, startBrowser, type Visit, visit } from './support/browser';

const TWO = `  - id: two
    name: Circuit two
    floor: ground
    ratedMinutes: 60
    chemistry: NiMH
    batteryFitted: 2025-01-02
    luminaires:
      - { id: B-1, place: Stairs, area: hall, mode: non-maintained, batteryMilliamps: 90 }
`;
const NOTED = `${SMALL.replace('    luminaires:', '    # In the order of the terminals.\n    luminaires:')}${TWO}`;
const TAKEN = 'Saved, and entered in the log book. The host works with it now.';

let folder: string;
let file: string;
let host: Lasting;
let browser: Browser;
let guest: Visit;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-site-page-'));
  file = join(folder, 'mill.yaml');
  writeFileSync(file, NOTED);
  const loaded = loadSite(file);
  if ('mistakes' in loaded) throw new Error('The site file has mistakes.');
  const places = { db: join(folder, 'log.db'), port: 0, brokerPort: 0 };
  host = await serveLasting({ site: loaded.site, siteFile: file, quiet: true, ...places });
  browser = await startBrowser();
});
afterAll(async () => {
  await browser?.close();
  await host?.stop();
  rmSync(folder, { recursive: true, force: true });
});
beforeEach(async () => {
  await guest?.page.close();
  guest = await visit(browser);
});

const text = () => readFileSync(file, 'utf8');

async function open(who: Visit, hash: string): Promise<void> {
  await who.page.goto(`${host.served().url}/${hash}`);
  await who.page.getByRole('heading', { level: 1 }).waitFor();
}

async function save(who: Visit, name = 'Ada Vail'): Promise<void> {
  await who.page.getByLabel('Your name').fill(name);
  await who.page.getByRole('button', { name: 'Save' }).click();
}

/** The browser itself complains of the stream that ends with the host, and of answers that refuse. */
const forget = ({ complaints }: Visit) => complaints.splice(0);

it.each(['light', 'dark'] as const)('is sound in the %s', async (colorScheme) => {
  const widths = colorScheme === 'light' ? ALL_WIDTHS : [390];
  await guest.page.emulateMedia({ colorScheme });
  await open(guest, '#/site');
  await guest.page.getByText('Circuit one, 2 luminaires').click();
  await guest.page.getByRole('link', { name: 'A-2 Ladder' }).waitFor();
  await expectSound(guest, 'site', widths);
  for (const [hash, heading] of [
    ['#/site/building', 'Hours and rules'],
    ['#/site/luminaires/A-2', 'Change luminaire A-2'],
    ['#/site/areas/hall', 'Change area hall'],
    ['#/site/circuits/one', 'Change circuit one'],
  ]) {
    await guest.page.goto(`${host.served().url}/${hash}`);
    await guest.page.getByRole('heading', { level: 1, name: heading }).waitFor();
    await guest.page.getByLabel('Your name').waitFor();
    await expectSound(guest, heading, widths.slice(0, 2));
  }
});

it('changes the place and the current of a luminaire by keyboard, and the host works with it', async () => {
  const { page } = guest;
  await open(guest, '#/site/luminaires/A-2');
  await page.getByLabel('Place').focus();
  await page.keyboard.press('Control+A');
  await page.keyboard.type('Ladder to the loft');
  await page.getByLabel('Lamp current on battery, mA').focus();
  await page.keyboard.press('Control+A');
  await page.keyboard.type('160');
  await page.getByLabel('Your name').focus();
  await page.keyboard.type('Ada Vail');
  await page.keyboard.press('Enter');
  await page.getByText(TAKEN).waitFor();
  expect(text()).toBe(NOTED.replace('Ladder', 'Ladder to the loft').replace('150', '160'));
  await page.goto(`${host.served().url}/#/luminaire/A-2`);
  await page.getByText('Ladder to the loft').first().waitFor();
  await page.goto(`${host.served().url}/#/log?kind=site`);
  await page
    .getByText(
      'Ada Vail changed the site: luminaire A-2: place from Ladder to Ladder to the loft; luminaire A-2: batteryMilliamps from 150 to 160.',
    )
    .waitFor();
});

it('marks a mistake at its field with the sentence of check, and saves nothing', async () => {
  const { page } = guest;
  const before = text();
  await open(guest, '#/site/luminaires/A-1');
  const current = page.getByLabel('Lamp current on battery, mA');
  await current.fill('2500');
  await save(guest);
  await page.getByText('Nothing was saved. Correct the fields marked below.').waitFor();
  await page
    .getByText(
      'Must be the commissioned lamp current on battery in mA, a whole number from 1 to 2000, but is 2500.',
    )
    .waitFor();
  expect(await current.getAttribute('aria-invalid')).toBe('true');
  forget(guest);
  await expectSound(guest, 'a field with a mistake');
  expect(text()).toBe(before);
});

it('keeps a new area until a luminaire lights it, and saves both together', async () => {
  const { page } = guest;
  await open(guest, '#/site/areas');
  await page.getByLabel('Id', { exact: true }).fill('yard');
  await page.getByLabel('Name of the area').fill('Yard');
  await page.getByLabel('Floor').selectOption('ground');
  await save(guest);
  await page.getByText('no luminaire is in area "yard" or lights it').waitFor();
  await page.getByRole('button', { name: 'Keep it and go on' }).click();
  await page.getByText('area yard added. It is saved together with the next change.').waitFor();
  forget(guest);
  await expectSound(guest, 'a change that is kept');
  await page.getByText('Circuit one, 2 luminaires').click();
  await page.getByRole('link', { name: 'Add a luminaire to one' }).click();
  await page.getByLabel('Id', { exact: true }).fill('A-3');
  await page.getByLabel('Place').fill('Yard door');
  await page.getByLabel('Area it stands in').selectOption('yard');
  await page.getByLabel('Mode').selectOption('non-maintained');
  await page.getByLabel('Lamp current on battery, mA').fill('140');
  await save(guest);
  await page.getByText(TAKEN).waitFor();
  expect(text()).toContain('  - { id: yard, name: Yard, floor: ground }\n');
  expect(text()).toContain(
    '      - { id: A-3, place: Yard door, area: yard, mode: non-maintained, batteryMilliamps: 140 }\n',
  );
  expect(text()).toContain('# In the order of the terminals.');
});

it('tells the second of two people who change it at once, and saves only the first', async () => {
  const other = await visit(browser);
  await open(guest, '#/site/luminaires/A-1');
  await open(other, '#/site/luminaires/A-1');
  await other.page.getByLabel('Place').fill('Back door');
  await guest.page.getByLabel('Place').fill('Front door');
  await save(guest);
  await guest.page.getByText(TAKEN).waitFor();
  await save(other, 'Bo Quill');
  await other.page.getByText('has been changed since you opened it').waitFor();
  expect(text()).toContain('place: Front door');
  await other.page.getByRole('button', { name: 'Load the page again' }).click();
  await expect.poll(() => other.page.getByLabel('Place').inputValue()).toBe('Front door');
  await other.page.close();
});

it('moves a luminaire to another circuit, and says before what that means for the wires', async () => {
  const { page } = guest;
  await open(guest, '#/site/luminaires/A-1');
  await page.getByLabel('Circuit', { exact: true }).selectOption('two');
  await page.getByText('It will be read at sensor input 2 of circuit two. A-2, A-3 will be read').waitFor();
  await expectSound(guest, 'a luminaire on its way to another circuit', [390]);
  await save(guest);
  await page.getByText(TAKEN).waitFor();
  await page.goto(`${host.served().url}/#/circuit/two`);
  await page.getByRole('link', { name: 'A-1' }).waitFor();
  await page.goto(`${host.served().url}/#/log?kind=site`);
  await page.getByText('luminaire A-1: circuit from one to two; luminaire A-1: ratedMinutes').waitFor();
});

it('asks once before it removes a luminaire, and says whose sensor wires move', async () => {
  const { page } = guest;
  await open(guest, '#/site/luminaires/A-2');
  await page.getByLabel('Your name').fill('Ada Vail');
  await page.getByRole('button', { name: 'Remove…' }).click();
  await page.getByText('A-3 will be read one sensor input further up').waitFor();
  await page.getByRole('button', { name: 'Remove it' }).click();
  await page
    .getByText('there is no luminaire')
    .or(page.getByText('no luminaire is in area "loft"'))
    .first()
    .waitFor();
  forget(guest);
});
