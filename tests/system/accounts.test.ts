// People with names, in Chromium: signing in and out, roles, what the log book has of them, and what others may try.
import { execFile } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterAll, beforeAll, beforeEach, expect, it } from 'vitest';
import { OrderKind } from '../../firmware/contract/codes';
import { Desk } from '../../host/accounts/desk';
import { tokenHash } from '../../host/accounts/password';
import { accountsFileOf, openAccounts } from '../../host/accounts/store';
import type { Role } from '../../host/api/accounts';
import { type PackedStatus, packStatus, unpackStatus } from '../../host/api/packed';
import { systemClock } from '../../host/clock';
import { expectSound, type Visit, visit, WIDTHS } from './support/browser';
import { type LodgeDemo, startLodgeDemo } from './support/lodgeDemo';

const PASSWORD = 'five llamas hum at dusk';
const NAME = 'Zoë Łuk <script>alert(1)</script>';
const MAIN = join(import.meta.dirname, '../../build/host/main.js');

let show: LodgeDemo;
let guest: Visit;
let url: string;

beforeAll(async () => {
  show = await startLodgeDemo('wing-1');
  // However busy the machine, the test still runs when it is looked at.
  show.setPace(1);
  ({ url } = show.demo.served);
  await made('ada', 'administrator', 'Ada Vail');
  await made('zoe', 'electrician', NAME);
  await made('vic', 'viewer', 'Vic Oda');
});
afterAll(() => show?.stop());
beforeEach(async () => {
  await guest?.page.context().close();
  guest = await visit(show.browser);
});

const db = () => show.demo.db;

/** Makes an account from another process, as the command does, and chooses its password. */
async function made(account: string, role: Role, name: string): Promise<void> {
  const site = show.lodge.file;
  const args = [
    'accounts',
    'add',
    account,
    site,
    '--name',
    name,
    '--role',
    role,
    '--who',
    'Ada Vail',
    '--db',
    db(),
  ];
  const { stdout: said } = await promisify(execFile)(process.execPath, [MAIN, ...args]);
  const code = /good for a week: (\S+)/.exec(said)?.[1] ?? '';
  const answer = await post('/api/session/code', { account, code, password: PASSWORD });
  expect(answer.status, said).toBe(200);
}

function post(path: string, body: object, headers: Record<string, string> = {}): Promise<Response> {
  return fetch(url + path, {
    method: 'POST',
    headers: { 'content-type': 'application/json', ...headers },
    body: JSON.stringify(body),
  });
}

async function signIn({ page }: Visit, account: string, at = url): Promise<void> {
  await page.goto(`${at}/#/`);
  const form = page.getByRole('form', { name: 'Sign in' });
  await form.getByLabel('Account').fill(account);
  await form.getByLabel('Password', { exact: true }).fill(PASSWORD);
  await page.keyboard.press('Enter');
  await page.getByRole('navigation').waitFor();
}

/** The cookie of the session, and not that of the device. */
const isSession = ({ name }: { name: string }) => /^nightproof-[0-9a-f]{8}$/.test(name);

/** The browser itself complains of answers that refuse. */
const forget = ({ complaints }: Visit) => complaints.splice(0);

it('shows nothing but the notice before somebody signs in, and is sound', async () => {
  const { page } = guest;
  for (const colorScheme of ['light', 'dark'] as const) {
    await page.emulateMedia({ colorScheme });
    await page.goto(`${url}/#/log`);
    await page.getByRole('heading', { level: 1, name: 'Sign in' }).waitFor();
    await page.getByText('I have a one-time code').click();
    await expectSound(guest, `sign in, ${colorScheme}`, WIDTHS);
  }
  expect(await page.textContent('body')).not.toContain('The lodge');
  // Its accounts end with it: there is nothing to reset.
  await page.getByText('start it again on the host’s machine').waitFor();
  expect(await page.textContent('body')).not.toContain('accounts reset');
  await page.getByRole('link', { name: 'Notice for everyone in the building' }).click();
  await page.getByText('The emergency lighting may not work in some places').first().waitFor();
  await expectSound(guest, 'public notice', [WIDTHS[0]]);
});

it('lets an administrator make an account, see it in the log book, and sign out on every device', async () => {
  const { page } = guest;
  await signIn(guest, 'ada');
  await page.goto(`${url}/#/accounts`);
  await page.getByText(NAME).waitFor();
  await page.getByLabel('Full name, as in the log book').fill('Ida Orr');
  await page.getByLabel('Account, e.g. anna').fill('ida');
  await page.getByRole('button', { name: 'Make an account' }).click();
  await page.getByText('One-time code for ida:').waitFor();
  await page.getByText('Ida Orr').click();
  for (const colorScheme of ['light', 'dark'] as const) {
    await page.emulateMedia({ colorScheme });
    await expectSound(guest, `accounts, ${colorScheme}`, WIDTHS);
  }
  await page.goto(`${url}/#/log?kind=account`);
  await page
    .getByText('Ada Vail made the account ida for Ida Orr: electrician. Signed in as ada.')
    .first()
    .waitFor();
  await page.getByText(`Ada Vail made the account zoe for ${NAME}: electrician.`).first().waitFor();
  await page.goto(`${url}/#/account`);
  await page.getByRole('heading', { level: 1, name: 'Ada Vail' }).waitFor();
  await expectSound(guest, 'own account', WIDTHS);
  const stolen = (await page.context().cookies()).find(isSession);
  await page.getByRole('button', { name: 'Sign out on every device' }).click();
  await page.getByRole('heading', { level: 1, name: 'Sign in' }).waitFor();
  const again = await fetch(`${url}/api/status`, { headers: { cookie: `${stolen?.name}=${stolen?.value}` } });
  expect(again.status).toBe(401);
});

/** From now on the page has no event stream: a stream that is open cannot be cut from here, so it is loaded anew. */
async function loseHost({ page }: Visit): Promise<void> {
  // No content ends a stream without a complaint of the browser.
  await page.route('**/api/events', (route) => route.fulfill({ status: 204 }));
  await page.reload();
  await page.getByText('Connection lost,').waitFor();
}

/** Visible height of a phone of 844 pixels with its browser's bars, CSS pixels. */
const PHONE = { width: 390, height: 660 };

it('has the button that restores the supply in sight on a phone, in every language, without scrolling', async () => {
  const { page } = guest;
  await signIn(guest, 'zoe');
  const button = page.locator('.running-now button.big');
  for (const colorScheme of ['light', 'dark'] as const)
    for (const tongue of ['de', 'fr', 'it', 'en']) {
      await page.emulateMedia({ colorScheme });
      await page.setViewportSize(PHONE);
      await page.locator('#tongue').selectOption(tongue);
      await page.locator(`html[lang=${tongue}]`).waitFor();
      await button.waitFor();
      const below = async () => {
        const box = await button.boundingBox();
        return box === null ? 'away' : box.y + box.height < PHONE.height;
      };
      // The page may be drawn anew at any moment.
      await expect.poll(below, { message: `${tongue}, ${colorScheme}` }).toBe(true);
      expect(await page.evaluate('scrollY')).toBe(0);
      const { SCREENSHOTS: folder } = process.env;
      if (folder) await page.screenshot({ path: join(folder, `restore-${tongue}-${colorScheme}.png`) });
    }
  await expectSound(guest, 'a running test', [390]);
  await loseHost(guest);
  await page.locator('.running-now').getByText('No contact with the host: a press may do nothing.').waitFor();
  await page.getByRole('button', { name: 'Try to restore supply: Wing 1', exact: true }).waitFor();
  await expectSound(guest, 'a running test without the host', [390]);
  // Another test beside it, as neighbours on different hours of one night have: what to do is said once.
  await page.route('**/api/status/packed', async (route) => {
    const response = await route.fetch();
    const status = unpackStatus((await response.json()) as PackedStatus);
    const running = status.controllers.find((one) => one.circuit === 'wing-1')!;
    const controllers = status.controllers.map((one) =>
      one.circuit === 'wing-2' ? { ...running, circuit: one.circuit, lamps: one.lamps } : one,
    );
    await route.fulfill({ response, json: packStatus({ ...status, controllers }) });
  });
  const whole = { ...PHONE, height: 844 };
  await page.setViewportSize(whole);
  for (const tongue of ['de', 'fr', 'it', 'en']) {
    await page.locator('#tongue').selectOption(tongue);
    await page.locator(`html[lang=${tongue}]`).waitFor();
    await page.reload();
    await button.nth(1).waitFor();
    await page.locator('.banner.lost').waitFor();
    expect(await page.locator('.host-lost').count(), tongue).toBe(1);
    const { SCREENSHOTS: folder } = process.env;
    if (folder) await page.screenshot({ path: join(folder, `lost-${tongue}.png`) });
    const box = (await button.nth(1).boundingBox())!;
    // No building in use has the band of simulated controllers.
    const band = (await page.locator('.banner.simulated').boundingBox())!;
    expect(box.y + box.height - band.height, tongue).toBeLessThan(whole.height);
  }
});

it('enters under the account whoever is signed in, whatever name is sent, and asks nobody for it', async () => {
  const { page } = guest;
  await signIn(guest, 'zoe');
  await page.goto(`${url}/#/circuit/wing-2`);
  await page.getByRole('button', { name: 'I am working here' }).click();
  const form = page.getByRole('form', { name: /wing-2/ });
  await form.getByText(`Entered by ${NAME}.`).waitFor();
  expect(await form.getByLabel('Your name').count()).toBe(0);
  const sent = await page.evaluate(async () => {
    const body = JSON.stringify({ do: 'attend', hours: 2, who: 'Somebody Else' });
    const headers = { 'content-type': 'application/json' };
    return (await fetch('/api/circuits/wing-2/orders', { method: 'POST', headers, body })).json();
  });
  expect(sent).toMatchObject({ ok: true });
  const [entry] = await show.demo.served.logbook.page({ kind: 'attended', limit: 1 });
  expect(JSON.parse(entry.body)).toMatchObject({ who: NAME, account: 'zoe' });
  await page.goto(`${url}/#/log?kind=attended`);
  await page.getByText(`${NAME} is working on this circuit`).first().waitFor();
});

it('asks for the password once more before a test by hand, and never for what restores the supply', async () => {
  const { page } = guest;
  await signIn(guest, 'zoe');
  const store = openAccounts(accountsFileOf(db()));
  const [cookie] = (await page.context().cookies()).filter(isSession);
  const session = store.session(tokenHash(cookie.value))!;
  store.putSession({ ...session, proved: 0 });
  await page.goto(`${url}/#/circuit/wing-2`);
  await page.getByRole('button', { name: 'Start a test now', exact: true }).click();
  const form = page.getByRole('form', { name: /Start a test now/ });
  await form.getByRole('combobox').selectOption({ label: 'function test' });
  await form.getByRole('button', { name: 'Yes, start the test' }).click();
  await form.getByText('This takes the supply away. Give your password once more.').waitFor();
  await page.locator('input:focus[type=password]').waitFor();
  await form.getByLabel('Password', { exact: true }).fill('not my password at all');
  await form.getByRole('button', { name: 'Yes, start the test' }).click();
  await form.getByText('The password is wrong.').waitFor();
  await form.getByLabel('Password', { exact: true }).fill(PASSWORD);
  forget(guest);
  await expectSound(guest, 'password once more', [390]);
  await form.getByRole('button', { name: 'Yes, start the test' }).click();
  await page.getByText(/wing-2: order (not )?accepted/).waitFor();
  // One press restores the supply, however long ago the password was given.
  store.putSession({ ...session, proved: 0 });
  await page.goto(`${url}/#/`);
  const running = page.getByRole('region', { name: 'Running test wing-1' });
  // Pressed twice: what the page hears is the controller's answer to the second order.
  await page.route('**/api/circuits/wing-1/orders', async (route) => {
    await route.fetch();
    await route.fulfill({ response: await route.fetch() });
  });
  // What the page does not hear does not keep the order from arriving.
  await loseHost(guest);
  await running.getByRole('button', { name: 'Try to restore supply: Wing 1', exact: true }).click();
  await expect.poll(() => show.node('wing-1').plant.supplied).toBe(true);
  await page.unroute('**/api/events');
  const note = page.getByRole('status').filter({ hasText: 'Wing 1: supply is already back on.' });
  await note.waitFor();
  expect(await page.locator('.outcome.good').count()).toBe(1);
  await note.getByText(/^Result: Duration test ended|Nothing was judged\./).waitFor();
  expect(await page.locator('.outcome.fault').count()).toBe(0);
  const given = await show.demo.served.logbook.page({ kind: 'ordered', limit: 3 });
  expect(given.map(({ body }) => JSON.parse(body))).toMatchObject([
    { do: OrderKind.Restore, who: NAME, account: 'zoe' },
    { do: OrderKind.Restore, who: NAME, account: 'zoe' },
    { do: OrderKind.Test, who: NAME, account: 'zoe' },
  ]);
  store.close();
  forget(guest);
});

it('gives a viewer no order, and says so in words', async () => {
  await signIn(guest, 'vic');
  const { page } = guest;
  const answer = await page.evaluate(async () => {
    const body = JSON.stringify({ do: 'restore', who: 'Vic Oda' });
    const headers = { 'content-type': 'application/json' };
    return (await fetch('/api/circuits/wing-2/orders', { method: 'POST', headers, body })).json();
  });
  expect(answer.answer).toBe(
    'Only a person with the role electrician may do this; you are signed in as vic, viewer.',
  );
  forget(guest);
});

it('takes no cookie that somebody else has set, and keeps none within reach of scripts', async () => {
  const { page } = guest;
  const { hostname } = new URL(url);
  const planted = 'A'.repeat(43);
  await signIn(guest, 'zoe');
  const { name = '' } = (await page.context().cookies()).find(isSession) ?? {};
  await page.context().clearCookies();
  await page.context().addCookies([{ name, value: planted, domain: hostname, path: '/' }]);
  await signIn(guest, 'zoe');
  const cookies = await page.context().cookies();
  const session = cookies.find(isSession);
  expect(session?.value).not.toBe(planted);
  expect(cookies.every(({ httpOnly, sameSite }) => httpOnly && sameSite === 'Strict')).toBe(true);
  expect(await page.evaluate(() => document.cookie)).toBe('');
  forget(guest);
});

it('slows down whoever guesses, and still lets in the device that signed in before', async () => {
  await signIn(guest, 'zoe');
  const statuses: number[] = [];
  // The wait doubles from a second: on a busy machine the first guesses beyond those that are free may outlast it.
  for (let n = 0; n < 12 && !statuses.includes(429); n++) {
    const answer = await post('/api/session', { account: 'zoe', password: `guess number ${n}` });
    statuses.push(answer.status);
  }
  expect(statuses.slice(0, 5)).toEqual([400, 400, 400, 400, 400]);
  expect(statuses).toContain(429);
  await guest.page.goto(`${url}/#/account`);
  await guest.page.getByRole('button', { name: 'Sign out', exact: true }).click();
  await guest.page.getByRole('heading', { level: 1, name: 'Sign in' }).waitFor();
  await signIn(guest, 'zoe');
});

it('gives a calendar program a token in an address, shows that once, and withdraws it', async () => {
  const { page } = guest;
  await signIn(guest, 'ada');
  await page.goto(`${url}/#/accounts`);
  await page.getByLabel('What it is for, e.g. calendar of the porter').fill('Porter');
  await page.getByRole('button', { name: 'Make a token' }).click();
  const shown = page.locator('.code').filter({ hasText: '/calendar.ics' });
  const address = (await shown.textContent()) ?? '';
  expect(address).toMatch(/^http:\/\/127\.0\.0\.1:\d+\/calendar\.ics\?token=nightproof_[\w-]{43}$/);
  await page.locator('summary', { hasText: 'Porter' }).click();
  for (const colorScheme of ['light', 'dark'] as const) {
    await page.emulateMedia({ colorScheme });
    await expectSound(guest, `token, ${colorScheme}`, [390, 1440]);
  }
  expect(await (await fetch(address)).text()).toMatch(/^BEGIN:VCALENDAR/);
  const secret = address.split('=')[1];
  expect((await fetch(`${url}/api/status?token=${secret}`)).status).toBe(401);
  const [entry] = await show.demo.served.logbook.page({ kind: 'account', limit: 1 });
  expect(JSON.parse(entry.body)).toMatchObject({
    did: 'made',
    name: 'Porter',
    scope: 'calendar',
    account: 'ada',
  });
  await page.goto(`${url}/#/log?kind=account`);
  await page
    .getByText(/Ada Vail made the access token [0-9a-f]{8} \(Porter\): for calendar only, until /)
    .waitFor();
  await page.goto(`${url}/#/accounts`);
  await page.locator('summary', { hasText: 'Porter' }).click();
  expect(await page.textContent('body')).not.toContain(secret);
  await page.getByRole('button', { name: 'Withdraw the token' }).click();
  await page
    .getByText(/withdrawn/)
    .first()
    .waitFor();
  expect((await fetch(address)).status).toBe(401);
  const kept = readFileSync(accountsFileOf(db())).toString('latin1');
  const entries = await show.demo.served.logbook.page({ limit: 500 });
  expect(kept + entries.map(({ body }) => body).join('')).not.toContain(secret.slice(-43));
});

it('lets the command line order a trace with a token, and says how where it has none', async () => {
  const site = show.lodge.file;
  const run = (...args: string[]) =>
    promisify(execFile)(process.execPath, [MAIN, ...args]).catch((error: { stderr: string }) => error);
  const order = ['trace', 'order', site, '--circuit', 'wing-2', '--who', 'Ada Vail', '--page', url];
  expect((await run(...order)).stderr).toMatch(/^Sign in first\. Have an access token made with [^\n]*\n$/);
  const make = [
    'accounts',
    'token',
    'make',
    'Bench',
    site,
    '--scope',
    'trace',
    '--who',
    'Ada Vail',
    '--db',
    db(),
  ];
  const made = (await run(...make)) as { stdout: string };
  const file = `${db()}.token`;
  writeFileSync(file, /shown only now: (\S+)\n/.exec(made.stdout)?.[1] ?? '', { mode: 0o600 });
  const said = await run(...order, '--token-file', file);
  // Its controller may be in a test, and says so itself.
  expect(JSON.stringify(said)).toMatch(/record a trace of the next test/);
  const [entry] = await show.demo.served.logbook.page({ kind: 'ordered', limit: 1 });
  expect(JSON.parse(entry.body)).toMatchObject({ do: OrderKind.Trace, who: 'Bench' });
  const list = (await run('accounts', 'token', 'list', '--db', db())) as { stdout: string };
  expect(list.stdout).toMatch(/^[0-9a-f]{8} {2}Bench \(trace\): active, until \S+, last used \S+$/m);
});

it('adds a passkey, signs in with it by the lock of the device, and takes no answer twice', async () => {
  const { page } = guest;
  // Browsers keep passkeys for names only.
  const at = url.replace('127.0.0.1', 'localhost');
  const device = await page.context().newCDPSession(page);
  await device.send('WebAuthn.enable');
  const { authenticatorId } = await device.send('WebAuthn.addVirtualAuthenticator', {
    options: {
      ...{ protocol: 'ctap2', transport: 'internal', hasResidentKey: true, hasUserVerification: true },
      ...{ isUserVerified: true, automaticPresenceSimulation: true },
    },
  });
  await made('pia', 'viewer', 'Pia Lund');
  await signIn(guest, 'pia', at);
  const form = page.getByRole('form', { name: 'Add a passkey' });
  const add = async (name: string) => {
    await page.goto(`${at}/#/account`);
    await form.getByLabel('Which device it is, e.g. my phone').fill(name);
    await form.getByLabel('Present password').fill(PASSWORD);
    await form.getByRole('button', { name: 'Add a passkey' }).click();
    await page.getByRole('button', { name: `Remove the passkey ${name}` }).waitFor();
  };
  await page.goto(`${at}/#/account`);
  await form.getByLabel('Which device it is, e.g. my phone').fill('my phone');
  await form.getByLabel('Present password').fill('not my password at all');
  await form.getByRole('button', { name: 'Add a passkey' }).click();
  await form.getByText('The password is wrong.').waitFor();
  forget(guest);
  await add('my phone');
  await expectSound(guest, 'passkeys', WIDTHS);
  await page.emulateMedia({ colorScheme: 'dark' });
  await expectSound(guest, 'passkeys, dark', [390]);
  const [entry] = await show.demo.served.logbook.page({ kind: 'account', limit: 1 });
  expect(JSON.parse(entry.body)).toMatchObject({ of: 'pia', did: 'passkey', account: 'pia' });

  const leave = async () => {
    await page.goto(`${at}/#/account`);
    await page.getByRole('button', { name: 'Sign out', exact: true }).click();
    await page.getByRole('heading', { level: 1, name: 'Sign in' }).waitFor();
  };
  const use = () => page.getByRole('button', { name: 'Sign in with a passkey' }).click();
  await leave();
  // Without what the page before still asks for.
  await page.reload();
  await page.getByRole('heading', { level: 1, name: 'Sign in' }).waitFor();
  forget(guest);
  await expectSound(guest, 'sign in with a passkey', [390, 1440]);
  const sent = page.waitForRequest((request) => request.url().endsWith('/api/session/passkey'));
  await use();
  await page.getByRole('navigation').waitFor();
  const body = (await sent).postDataJSON() as { response: string };
  const again = await page.evaluate(async (sent) => {
    const headers = { 'content-type': 'application/json' };
    return (
      await fetch('/api/session/passkey', { method: 'POST', headers, body: JSON.stringify(sent) })
    ).json();
  }, body);
  expect(again.answer).toBe('This passkey was not accepted. Sign in with the password.');

  await leave();
  await device.send('WebAuthn.setUserVerified', { authenticatorId, isUserVerified: false });
  await use();
  await page.getByText('The device has given no passkey for this page.').waitFor();
  await device.send('WebAuthn.setUserVerified', { authenticatorId, isUserVerified: true });
  const store = openAccounts(accountsFileOf(db()));
  const desk = new Desk({ store, clock: systemClock, enter: async () => {} });
  const office = { id: '', name: 'Ada Vail' };
  await desk.change({ do: 'disable', account: 'pia' }, office);
  await use();
  await page.getByText('This passkey was not accepted. Sign in with the password.').waitFor();
  await desk.change({ do: 'enable', account: 'pia' }, office);
  store.close();
  // One that was added by whoever made that necessary does not come back.
  await use();
  await page.getByText('This passkey was not accepted. Sign in with the password.').waitFor();
  await signIn(guest, 'pia', at);
  await add('my watch');
  await page.getByRole('button', { name: 'Remove the passkey my watch' }).click();
  const removal = page.getByRole('form', { name: 'Remove the passkey my watch' });
  await removal.getByLabel('Present password').fill('not my password at all');
  await removal.getByRole('button', { name: 'Remove', exact: true }).click();
  await page.getByText('The password is wrong.').waitFor();
  forget(guest);
  await expectSound(guest, 'remove a passkey', WIDTHS);
  await removal.getByLabel('Present password').fill(PASSWORD);
  await removal.getByRole('button', { name: 'Remove', exact: true }).click();
  await removal.waitFor({ state: 'detached' });
  await page.getByText('my watch').waitFor({ state: 'detached' });
  await leave();
  await use();
  await page.getByText('This passkey was not accepted. Sign in with the password.').waitFor();
  forget(guest);
});

it('offers no passkey at an address of numbers, for which no browser keeps one', async () => {
  const { page } = guest;
  await page.goto(`${url}/#/`);
  await page.getByRole('form', { name: 'Sign in' }).waitFor();
  expect(await page.getByRole('button', { name: 'Sign in with a passkey' }).count()).toBe(0);
  const answer = await post('/api/session/passkey/options', {});
  expect([answer.status, await answer.json()]).toEqual([
    400,
    { ok: false, answer: expect.stringMatching(/^Passkeys need/) },
  ]);
});

it('ends an open page with its session, and takes it up again after signing in', async () => {
  await signIn(guest, 'vic');
  const { page } = guest;
  const store = openAccounts(accountsFileOf(db()));
  const desk = new Desk({ store, clock: systemClock, enter: async () => {} });
  await desk.change({ do: 'disable', account: 'vic' }, { id: '', name: 'Ada Vail' });
  await page.getByText('Your session has ended; sign in again.').waitFor();
  expect(await page.textContent('body')).not.toContain('The lodge');
  await desk.change({ do: 'enable', account: 'vic' }, { id: '', name: 'Ada Vail' });
  store.close();
  await signIn(guest, 'vic');
  forget(guest);
});
