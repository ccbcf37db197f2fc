// A person at the page who works on a circuit: reports it, starts a function test, extends it for the
// walk-round, holds and releases, and finds all of it in the log book by name.
import { afterAll, beforeAll, expect, it } from 'vitest';
import { Phase, TestKind } from '../../firmware/contract/codes';
import type { ResultRecord } from '../../firmware/contract/messages';
import { readRecord } from '../../host/records/schema';
import type { SimulatedController } from '../../simulator/node';
import { expectSound, type Visit, visit } from './support/browser';
import { type LodgeDemo, PACE, startLodgeDemo } from './support/lodgeDemo';

const CIRCUIT = 'wing-2';
const WHO = 'Maren Tollick';

let show: LodgeDemo;
let guest: Visit;
let node: SimulatedController;

beforeAll(async () => {
  show = await startLodgeDemo('wing-1');
  node = show.node(CIRCUIT);
  guest = await visit(show.browser);
  await guest.page.goto(`${show.demo.served.url}/#/circuit/${CIRCUIT}`);
  await guest.page.getByRole('heading', { level: 1, name: /wing-2/ }).waitFor();
});
afterAll(() => show?.stop());

/** Presses the button, chooses, signs, confirms; returns the outcome shown on the page. */
async function order(button: string, yes: string, choice?: string): Promise<string> {
  const { page } = guest;
  await page.getByRole('button', { name: button, exact: true }).first().click();
  const form = page.getByRole('form', { name: `${button}: ${CIRCUIT}` });
  await expectSound(guest, `${button}, asked to confirm`);
  if (choice !== undefined) await form.getByRole('combobox').selectOption({ label: choice });
  await form.getByLabel('Your name').fill(WHO);
  await form.getByRole('button', { name: yes }).click();
  const note = page.getByRole('status').filter({ hasText: `${CIRCUIT}:` });
  await note.waitFor();
  const said = (await note.textContent()) ?? '';
  await note.getByRole('button', { name: 'Dismiss' }).click();
  return said;
}

/** A phone with and without the bars of its browser, CSS pixels. */
const [PHONE, TALL] = [664, 844].map((height) => ({ width: 390, height }));

/** No question to the log book is answered until an order was given. @returns what is asked from now on */
async function holdLogbook(): Promise<string[]> {
  const { page } = guest;
  const asked: string[] = [];
  let give: () => void = () => {};
  const given = new Promise<void>((resolve) => {
    give = resolve;
  });
  await page.route(/\/api\/(logbook|circuits\/[^/]+\/orders)/, async (route) => {
    const { pathname, search } = new URL(route.request().url());
    asked.push(`${route.request().method()} ${pathname}${search}`);
    if (pathname.endsWith('orders')) give();
    else await given;
    await route.continue();
  });
  return asked;
}

/**
 * Both running tests have their button on the first screen. Restores the supply of the other circuit: its result and the
 * button of this one share that screen.
 */
async function showsResultAndButton(): Promise<void> {
  const { page } = guest;
  const circuit = page.url();
  await page.setViewportSize(PHONE);
  await page.getByRole('link', { name: 'Tonight' }).first().click();
  const other = page.getByRole('region', { name: 'Running test wing-1' });
  const first = other.getByRole('button', { name: 'Restore supply: Wing 1', exact: true });
  const button = page.getByRole('button', { name: 'Restore supply: Wing 2', exact: true });
  const bottom = async (one: typeof button) => {
    const found = await one.boundingBox();
    return found === null ? Number.POSITIVE_INFINITY : found.y + found.height;
  };
  for (const one of [first, button]) await expect.poll(() => bottom(one)).toBeLessThan(PHONE.height);
  await first.click();
  const form = other.getByRole('form', { name: 'Restore supply: wing-1' });
  await form.getByLabel('Your name').fill(WHO);
  const asked = await holdLogbook();
  await form.getByRole('button', { name: 'Yes, restore supply' }).click();
  await expect.poll(() => asked).toContainEqual(expect.stringMatching(/orders$/));
  // A log book that does not answer would hold it up; other parts of the page may ask it meanwhile.
  expect(asked.find((one) => /orders$|limit=1$/.test(one))).toMatch(/\/circuits\/wing-1\/orders$/);
  // In the place of the button, so that a second press meets nothing else.
  await other.getByText('Supply is back on.').waitFor();
  await page.evaluate('scrollTo(0, 0)');
  await expect.poll(() => bottom(button)).toBeLessThan(PHONE.height);
  await other.waitFor({ state: 'detached' });
  const note = page.getByRole('status').filter({ hasText: 'Wing 1: supply is back on.' });
  await note.getByText(/Nothing was judged\.|^Result: /).waitFor();
  for (const size of [PHONE, TALL]) {
    await page.setViewportSize(size);
    await page.evaluate('scrollTo(0, 0)');
    await expect.poll(() => bottom(button)).toBeLessThan(PHONE.height);
    expect(await bottom(note)).toBeLessThan((await button.boundingBox())!.y);
  }
  await expectSound(guest, 'a result above a running test', [PHONE.width]);
  await note.getByRole('button', { name: 'Dismiss' }).click();
  await page.goto(circuit);
}

async function newest(): Promise<ResultRecord> {
  const [entry] = await show.demo.served.logbook.results(`${show.lodge.site.id}/${CIRCUIT}`, 1);
  return readRecord(entry.body) as ResultRecord;
}

it('orders nothing that was not chosen, names the price of a test, and closes a form with Escape', async () => {
  const { page } = guest;
  const button = page.getByRole('button', { name: 'Start a test now', exact: true });
  await button.click();
  const form = page.getByRole('form', { name: `Start a test now: ${CIRCUIT}` });
  await form.getByLabel('Your name').fill(WHO);
  await form.getByRole('button', { name: 'Yes, start the test' }).click();
  await form.getByText('Choose which test.').waitFor();
  await form.getByRole('combobox').selectOption({ label: 'duration test' });
  await form.getByText('The supply will be off for 3 h, then the batteries recharge for 24 h.').waitFor();
  await page.keyboard.press('Escape');
  await form.waitFor({ state: 'detached' });
  await expect.poll(() => button.evaluate((it) => it === document.activeElement)).toBe(true);
  expect(node.plant.relay.open).toBe(false);
});

it('refuses a test where no window is open, with the reason', async () => {
  expect(await order('Start a test now', 'Yes, start the test', 'function test')).toMatch(
    /order not accepted\. The controller refused to start a function test\. It is outside the test window/,
  );
  expect(node.plant.relay.open).toBe(false);
});

it('accepts a window for work, and in it a function test extended for the walk-round', async () => {
  const before = node.controller!.core.planRevision;
  expect(await order('I am working here', 'Yes, I am working here', '2 hours')).toMatch(
    /order accepted\. Tests can be started on demand from/,
  );
  await guest.page.getByText(/^Engineer working here until .*: Maren Tollick$/).waitFor();
  // The simulator's watch checks openings against the plan; window and walk-round are now part of it.
  const { from, to } = show.demo.served.house.view.controller(
    CIRCUIT,
    show.demo.rehearsal.fleet.utcMs() / 1000,
  ).attended!;
  node.spec.rules.slots.push({ start: from, end: to });
  node.spec.rules.briefSec += 300;
  await expect.poll(() => node.controller!.core.planRevision).toBeGreaterThan(before);

  // A minute and a half to press the button in, however busy the machine.
  show.setPace(1);
  expect(await order('Start a test now', 'Yes, start the test', 'function test')).toMatch(/order accepted/);
  await expect.poll(() => node.controller!.core.phase).toBe(Phase.Brief);
  await showsResultAndButton();
  expect(await order('Extend for walk-round', 'Yes, extend the test', '5 minutes')).toMatch(
    /order accepted\. The controller has accepted the order to extend the test by 5 min/,
  );
  await guest.page.getByText(/of 6 min 30 s/).waitFor();
  show.setPace(PACE);
  await expect.poll(() => node.controller!.core.phase).toBe(Phase.Recharging);
  // The record follows the relay: a test by order belongs to no plan.
  await expect.poll(newest).toMatchObject({ type: TestKind.Brief, test: 0, plan: 0 });
  expect((await newest()).seconds).toBeGreaterThanOrEqual(390);
});

it('holds testing for some hours and releases it again', async () => {
  expect(await order('Hold testing', 'Yes, hold testing', '4 hours')).toMatch(/order accepted/);
  await guest.page.getByText(/^Held by Maren Tollick until/).waitFor();
  expect(node.controller!.core.phase).toBe(Phase.Held);
  await expectSound(guest, 'A circuit that is held');
  expect(await order('Release hold', 'Yes, release the hold')).toMatch(/order accepted/);
  await expect.poll(() => node.controller!.core.phase).not.toBe(Phase.Held);
});

it("accepts a luminaire's measured values, and the controller judges by them", async () => {
  const { page } = guest;
  await page.goto(`${show.demo.served.url}/#/luminaire/W2-02`);
  await page.getByRole('heading', { level: 2, name: 'Commissioned current' }).waitFor();
  const [, , , , measured] = (await newest()).lamps[1];
  expect(await order('Accept measured currents', 'Yes, accept')).toMatch(/order accepted\. Now in use/);
  await page.getByText(/accepted by Maren Tollick on/).waitFor();
  await expectSound(guest, 'A luminaire whose current was accepted');
  // Row of the second lamp: mode, battery mA, mains mA, rated s.
  await expect.poll(() => node.controller!.core.set.lamps[5]).toBe(measured);
});

it('accepts a repair, and shows the planned test after it', async () => {
  const { page } = guest;
  const before = node.controller!.core.planRevision;
  await page.goto(`${show.demo.served.url}/#/luminaire/W2-03`);
  await page.getByRole('heading', { level: 1, name: 'W2-03' }).waitFor();
  const said = await order('Report a repair', 'Yes, report the repair', 'Battery changed');
  expect(said).toMatch(
    /repair recorded\. Recorded: repaired W2-03 \(battery changed\); a duration test is due by .+?\. /,
  );
  await page.getByText(/^Not tested since repair: Maren Tollick repaired W2-03/).waitFor();
  await expect.poll(() => node.controller!.core.planRevision).toBeGreaterThan(before);
  const now = show.demo.rehearsal.fleet.utcMs() / 1000;
  const own = show.demo.served.house.desired.plan()!.plan.circuits.find((one) => one.circuit === CIRCUIT)!;
  const retest = own.slots.find((slot) => slot.kind === TestKind.Full && slot.start > now)!;
  expect(retest.start - now).toBeLessThan(14 * 86_400);
});

it('shows the defect of a repaired luminaire with its retest, and whether one can be made now', async () => {
  const { page } = guest;
  await page.goto(`${show.demo.served.url}/#/luminaire/W1-01`);
  await page.getByRole('heading', { level: 2, name: 'Defect' }).waitFor();
  await page.getByRole('button', { name: 'Report a repair', exact: true }).click();
  const form = page.getByRole('form', { name: 'Report a repair: wing-1' });
  await form.getByRole('combobox').selectOption({ label: 'Battery changed' });
  await form.getByLabel('Your name').fill(WHO);
  await form.getByRole('button', { name: 'Yes, report the repair' }).click();
  const defect = page.getByRole('region', { name: 'Defect' });
  await defect.getByText('Retest due').waitFor();
  await defect.getByText(/Repaired\. Retest, a duration test: planned for /).waitFor();
  await defect.getByText(/^(On site, no test now: \S+|Ready to retest now: start a)/).waitFor();
  await expectSound(guest, 'A luminaire with a repaired defect');
});

it('has every order in the log book with the name, in an unbroken chain', async () => {
  const { page, complaints } = guest;
  await page.goto(`${show.demo.served.url}/#/log?circuit=${CIRCUIT}`);
  for (const text of [
    /^Maren Tollick is working on this circuit from/,
    /^Maren Tollick gave the order to start a function test; the controller accepted it\.$/,
    /^Maren Tollick gave the order to extend the test by 5 min; the controller accepted it\.$/,
    /^Maren Tollick gave the order to hold testing for 4 h; the controller accepted it\.$/,
    /^Maren Tollick gave the order to release the hold; the controller accepted it\.$/,
    /^Maren Tollick repaired W2-03 \(battery changed\); a duration test is due by /,
  ])
    await page.getByText(text).first().waitFor();
  await page.getByText(/Chain valid/).waitFor();
  await expectSound(guest, 'The log book of a circuit');
  expect(complaints).toEqual([]);
  expect(show.demo.rehearsal.watch.violations).toEqual([]);
});
