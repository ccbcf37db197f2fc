// A person at the page during a duration test: sees it, orders the supply back, and finds it done, from the
// relay to the log book.
import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { afterAll, beforeAll, beforeEach, expect, it } from 'vitest';
import { Reason, Verdict } from '../../firmware/contract/codes';
import type { ResultRecord } from '../../firmware/contract/messages';
import type { DutiesView } from '../../host/api/duties';
import { packStatus } from '../../host/api/packed';
import type { BuildingView, PlanView, StatusView } from '../../host/api/views';
import { readRecord } from '../../host/records/schema';
import type { SimulatedController } from '../../simulator/node';
import { evenSpaces, labelCodes } from '../support/labelCodes';
import { ALL_WIDTHS, expectSound, type Visit, visit } from './support/browser';
import { run } from './support/cli';
import { type LodgeDemo, startLodgeDemo } from './support/lodgeDemo';

const CIRCUIT = 'wing-1';

let show: LodgeDemo;
let guest: Visit;
let tested: SimulatedController;

beforeAll(async () => {
  show = await startLodgeDemo(CIRCUIT);
  tested = show.node(CIRCUIT);
});
afterAll(() => show?.stop());
beforeEach(async () => {
  await guest?.page.close();
  guest = await visit(show.browser);
});

async function newestResult(): Promise<{ record: ResultRecord; entry: number }> {
  const [entry] = await show.demo.served.logbook.results(`${show.lodge.site.id}/${CIRCUIT}`, 1);
  return { record: readRecord(entry.body) as ResultRecord, entry: entry.entry };
}

it('shows a running duration test with every luminaire, the dead one judged', async () => {
  await guest.page.goto(show.demo.served.url);
  const running = guest.page.getByRole('region', { name: `Running test ${CIRCUIT}` });
  await running.waitFor();
  const lamps = running.getByRole('list', { name: 'Luminaires under test' }).getByRole('listitem');
  await lamps.filter({ hasText: /W1-01.*fail/s }).waitFor();
  for (const id of ['W1-02', 'W1-03', 'W1-04'])
    await lamps.filter({ hasText: new RegExp(`${id}.*lit`, 's') }).waitFor();
  expect(await lamps.count()).toBe(4);
  expect(tested.plant.relay.open).toBe(true);
  await expectSound(guest, 'Tonight, with a test running');
  // However busy the machine, the test still runs when it is interrupted.
  show.setPace(1);
});

it.each([
  ['circuit', `#/circuit/${CIRCUIT}`, /wing-1/],
  ['luminaire', '#/luminaire/W1-01', /W1-01/],
  ['defects', '#/defects', /defect/],
  ['log book', '#/log', /Log book/],
  ['reports', '#/reports', /Reports/],
  ['duties', '#/duties', /dut(y|ies)/],
  ['year', '#/year', /Year/],
  ['notice', '#/notice', /Emergency lighting notice/],
])('has a sound page of the %s', async (name, hash, heading) => {
  await guest.page.goto(`${show.demo.served.url}/${hash}`);
  await guest.page.getByRole('heading', { level: 1, name: heading }).waitFor();
  await expectSound(guest, name, ALL_WIDTHS);
});

it('shows in a band where batteries are not full and what to do, and the same alone on a printable notice', async () => {
  const { page } = guest;
  await page.goto(show.demo.served.url);
  const band = page.getByRole('region', { name: 'Batteries not full' });
  await band
    .getByText(/^Wing 1 \(circuit wing-1\): on battery now in a duration test, batteries full again on /)
    .waitFor();
  await band.getByText(/^If the power fails: leave .*Wing 1.* tell The porter\./).waitFor();
  await band.getByRole('link', { name: /to print/ }).click();
  await page.getByRole('heading', { name: 'Emergency lighting notice' }).waitFor();
  await page.emulateMedia({ media: 'print' });
  expect(await page.getByText(/^The emergency lighting may not work here until /).isVisible()).toBe(true);
  expect(await page.getByText(/^If the power fails/).isVisible()).toBe(true);
  // One luminaire of this house is dead, as its first function test found.
  expect(await page.getByText('Some emergency luminaires do not work here.').isVisible()).toBe(true);
  expect(await page.getByText('Leave this notice up until The porter takes it down.').isVisible()).toBe(true);
  expect(await page.getByText(/prove dead|circuit|not isolation/i).count()).toBe(0);
  expect(await page.locator('.clock').count()).toBe(0);
  expect(await page.getByRole('button').count()).toBe(0);
  expect(await page.getByRole('navigation').isVisible()).toBe(false);
});

it('opens the page of a luminaire by the code on its label', async () => {
  const { lodge, demo } = show;
  const out = join(dirname(lodge.file), 'labels.pdf');
  const asked = ['--address', demo.served.url, '--luminaire', 'W1-02', '--out', out];
  expect(await run('labels', lodge.file, ...asked)).toMatchObject({ code: 0, stderr: '' });
  const [[code]] = labelCodes(out, evenSpaces(3, 8));
  await guest.page.goto(code);
  await guest.page.getByRole('heading', { level: 1, name: /W1-02/ }).waitFor();
});

it('shows the year of the plan, every month on a desktop and one at a time on a phone', async () => {
  const { page } = guest;
  await page.goto(`${show.demo.served.url}/#/year`);
  const months = page.locator('.year-month');
  await months.first().waitFor();
  const visible = async (): Promise<number> => months.filter({ visible: true }).count();
  expect([await months.count(), await visible()]).toEqual([12, 12]);
  await expectSound(guest, 'the year with its months');
  const view = (await (await fetch(`${show.demo.served.url}/api/plan`)).json()) as PlanView;
  const chosen = page.getByRole('combobox', { name: 'Month' });
  await chosen.focus();
  await page.keyboard.press('ArrowDown');
  const title = await page.locator('.year-month.chosen h3').textContent();
  expect(await page.getByRole('heading', { level: 2, name: 'night by night' }).textContent()).toBe(
    `${title}, night by night`,
  );
  const key = new Date(`1 ${title} UTC`).toISOString().slice(0, 7);
  const here = view.nights.filter(({ date }) => date.startsWith(key));
  expect(here.length).toBeGreaterThan(0);
  expect(await page.locator('.year-list li').count()).toBe(here.length);
  const { areas, circuits } = show.lodge.site;
  const lit = circuits.find(({ id }) => id === here[0].circuit)!.areas;
  const { name } = areas.find(({ id }) => id === lit[0])!;
  for (const list of ['.year-list li', '.year-month.chosen .year-row'])
    await page.locator(list).filter({ hasText: name }).first().waitFor();
  await page.setViewportSize({ width: 390, height: 900 });
  expect(await visible()).toBe(1);
  await page.getByRole('button', { name: 'Next month' }).click();
  await expect.poll(() => page.locator('.year-month.chosen h3').textContent()).not.toBe(title);
  expect(await visible()).toBe(1);
});

it('leads from what needs attention to the defects, and takes who sees to one and by when', async () => {
  const { page } = guest;
  await page.goto(show.demo.served.url);
  await page.getByRole('link', { name: /^All defects/ }).click();
  await page.getByRole('heading', { level: 1, name: /open defects?/ }).waitFor();
  const own = page
    .getByRole('listitem')
    .filter({ has: page.getByRole('link', { name: 'W1-01', exact: true }) });
  await own
    .getByText(/Repair it, then report the repair; only a pass closes it: in a .+, else in a function test\./)
    .waitFor();
  await own.getByRole('link', { name: 'Report the repair of W1-01' }).waitFor();
  const button = own.getByRole('button', { name: 'Owner and date of W1-01' });
  await button.press('Enter');
  const form = own.getByRole('form', { name: 'Owner and date: W1-01' });
  await expectSound(guest, 'the defects, with a form open');
  // As with a keyboard: the first field has the focus.
  await page.keyboard.type('Žofie Dvořáková');
  await form.getByLabel('Due date').fill('2020-01-31');
  await form.getByLabel('Until then people are protected by').fill('torches, "both" ends');
  await form.getByLabel('Your name').fill('Jürgen');
  await page.keyboard.press('Enter');
  await form
    .getByRole('alert')
    .getByText(/^The due date 2020-01-31 is over; give today/)
    .waitFor();
  await form.getByLabel('Due date').fill('2032-01-31');
  await form.getByRole('button', { name: 'Enter it' }).click();
  await own
    .getByRole('status')
    .getByText(/^Recorded: Jürgen entered for the defect of W1-01: owner Žofie/)
    .waitFor();
  await own.getByText('Sat 31 Jan 2032').waitFor();
  await own.getByText('torches, "both" ends', { exact: true }).waitFor();
  await expect.poll(() => button.evaluate((it) => it === document.activeElement)).toBe(true);
  await expectSound(guest, 'the defects');
});

it('fits thirteen healthy circuits on a screen and a half, and has what needs attention first', async () => {
  const { page } = guest;
  const ask = async (path: string) => (await fetch(`${show.demo.served.url}/api/${path}`)).json();
  const building = (await ask('building')) as BuildingView;
  const status = (await ask('status')) as StatusView;
  const ids = Array.from({ length: 13 }, (_, i) => `wing-${i + 1}`);
  const charged = status.controllers.find(({ circuit }) => circuit === 'wing-3')!;
  const pass = 'pass' as const;
  const well = charged.lamps.map((lamp) => ({ ...lamp, verdict: pass, fullVerdict: pass }));
  const controllers = ids.map((circuit) => ({ ...charged, circuit, phase: 'charged' as const, lamps: well }));
  const [first] = building.circuits;
  const circuits = ids.map((id) => ({ ...first, id }));
  const notice = { ...status.notice, entries: [], unknown: [] };
  // The host's own answers, with one healthy circuit of this house in thirteen places; nothing newer arrives.
  await page.addInitScript('window.EventSource = class { addEventListener() {} close() {} }');
  await page.route('**/api/building', (route) => route.fulfill({ json: { ...building, circuits } }));
  const answer = { ...status, controllers, notice };
  await page.route('**/api/status/packed', (route) => route.fulfill({ json: packStatus(answer) }));
  const nobody = { duties: [], findings: [] };
  const people: DutiesView = { ...nobody };
  await page.route('**/api/duties', (route) => route.fulfill({ json: people }));
  await page.goto(show.demo.served.url);
  await page.getByRole('heading', { level: 1, name: /^All 13 circuits charged\. Nothing needs/ }).waitFor();
  expect(await page.evaluate('document.documentElement.scrollHeight')).toBeLessThanOrEqual(1500);

  const { duties } = (await ask('duties')) as DutiesView;
  const found = {
    luminaire: 'W1-02',
    where: '',
    words: 'lamp obstructed',
    asked: '',
    duty: '',
    who: 'Zoë',
    since: 1,
  };
  Object.assign(people, { duties: [{ ...duties[0], state: 'overdue', days: -9 }], findings: [found] });
  await page.reload();
  await page
    .getByRole('heading', { level: 1, name: /charged\. 1 duty overdue, 1 finding not put/ })
    .waitFor();
  const rows = page.getByRole('region', { name: 'Needs attention' }).getByRole('listitem');
  expect(await rows.allTextContents()).toEqual([
    expect.stringContaining('overdue by 9 days'),
    expect.stringContaining('W1-02: lamp obstructed'),
  ]);
  expect(await page.evaluate('document.documentElement.scrollHeight')).toBeLessThanOrEqual(1500);
  await rows.first().getByRole('link', { name: 'Duties' }).click();
  await page.getByRole('heading', { level: 1, name: '1 duty is overdue.' }).waitFor();
  await page.goto(show.demo.served.url);

  Object.assign(controllers[9], { lamps: [{ ...well[0], luminaire: 'W1-03', verdict: 'fail' }] });
  await page.reload();
  await page.getByRole('heading', { level: 2, name: 'Needs attention' }).waitFor();
  const stops: string[] = [];
  while (stops.length < 15 && !stops.includes('W1-03')) {
    await page.keyboard.press('Tab');
    stops.push(String(await page.evaluate('document.activeElement.textContent')));
  }
  expect(stops).toContain('W1-03');
  await expectSound(guest, 'Tonight, with thirteen circuits', ALL_WIDTHS);
});

it('restores the supply on order, voids the test with that reason, and logs it', async () => {
  const { page, complaints } = guest;
  await page.goto(show.demo.served.url);
  const running = page.getByRole('region', { name: `Running test ${CIRCUIT}` });
  await running.getByRole('button', { name: 'Restore supply: Wing 1', exact: true }).click();
  const before = (await newestResult()).entry;
  expect(tested.plant.supplied).toBe(false);
  await expectSound(guest, 'Tonight, asked to confirm');
  await running.getByLabel('Your name').fill('Maren Tollick');
  await running.getByRole('button', { name: 'Yes, restore supply' }).click();
  // Its card or line stays for a time: nothing else comes under the finger.
  await page.locator('.running, .restored').getByText('Supply is back on.').first().waitFor();
  const note = page.getByRole('status');
  await note.getByText(/Wing 1: supply is back on\./).waitFor();
  await note.getByText(/^Result: Duration test ended after .*Maren Tollick/).waitFor();
  expect(tested.plant.relay.open).toBe(false);
  expect(tested.plant.supplied).toBe(true);

  await expect.poll(async () => (await newestResult()).entry).toBeGreaterThan(before);
  const { record } = await newestResult();
  expect(record.end).toBe(Reason.OrderedRestore);
  expect(record.restoreMs).toBeGreaterThanOrEqual(0);
  // The dead luminaire had failed before anyone intervened; for the others nothing is proven.
  expect(record.lamps.map(([verdict, reason]) => [verdict, reason])).toEqual([
    [Verdict.Fail, Reason.NotLitAtFiveSeconds],
    ...Array(3).fill([Verdict.Void, Reason.OrderedRestore]),
  ]);
  await expectSound(guest, 'Tonight, after the order');

  await page.goto(`${show.demo.served.url}/#/log`);
  await page
    .getByText(/^Maren Tollick gave the order to restore the supply; the controller accepted it\.$/)
    .waitFor();
  await page.getByText(/Duration test ended after .*Someone ordered the supply to be restored\./).waitFor();
  await page.getByText(/Chain valid/).waitFor();
  expect(complaints).toEqual([]);
  expect(show.demo.rehearsal.watch.violations).toEqual([]);
});

it('gives labels as a file, and says where their address opens on no telephone', async () => {
  const { page } = guest;
  await page.goto(`${show.demo.served.url}/#/reports`);
  const form = page.getByRole('form', { name: 'Labels' });
  const address = form.getByLabel(/^Address at which telephones/);
  expect(await address.inputValue()).toBe(show.demo.served.url);
  await form.getByText(/^This address opens on the machine of the host only/).waitFor();
  await address.fill('http://192.168.1.20:8350');
  await form.getByText(/^This address opens/).waitFor({ state: 'hidden' });
  await form.getByLabel('Circuit').selectOption(CIRCUIT);
  const download = page.waitForEvent('download');
  await form.getByRole('button', { name: 'Make the labels' }).click();
  const file = await download;
  expect(file.suggestedFilename()).toBe(`labels-lodge-${CIRCUIT}.pdf`);
  const [[code]] = labelCodes(await file.path(), evenSpaces(3, 8));
  expect(code).toBe('http://192.168.1.20:8350/#/luminaire/W1-01');
  await form.getByRole('status').filter({ hasText: file.suggestedFilename() }).waitFor();
});

it('gives a report as a file, and says what is wrong with its dates', async () => {
  const { page } = guest;
  await page.goto(`${show.demo.served.url}/#/reports`);
  const form = page.getByRole('form', { name: 'Report' });
  const last = await form.getByLabel('Last day').inputValue();
  const download = page.waitForEvent('download');
  await form.getByRole('button', { name: 'Make the certificate (PDF)' }).click();
  const file = await download;
  expect(file.suggestedFilename()).toMatch(new RegExp(`^emergency-lighting-lodge-.+-${last}\\.pdf$`));
  expect(
    readFileSync(await file.path())
      .subarray(0, 8)
      .toString(),
  ).toBe('%PDF-1.7');
  await form.getByRole('status').filter({ hasText: file.suggestedFilename() }).waitFor();
  await form.getByLabel('First day').fill('2030-01-01');
  await form.getByRole('button', { name: 'Make the table' }).click();
  await form.getByRole('alert').filter({ hasText: 'The last day is before the first.' }).waitFor();
});
