// Entries made on a phone whose connection comes and goes, whose pages are thrown away, and which sends some of them
// twice: the log book has each of them once, in the order in which they were made.
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { join } from 'node:path';
import { type Browser, type BrowserContext, chromium, type Page } from 'playwright-core';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { readInspection } from '../../host/house/notes/inspected';
import type { Served } from '../../host/serve/serve';
import { newRandom, nextUnit } from '../../simulator/random';
import { sizes } from '../support/depth';
import { type BadLine, startBadLine } from './support/badLine';
import { CHROMIUM, FLAGS, startBrowser } from './support/browser';
import { type LodgeHost, startLodgeHost } from './support/lodgeHost';

const SEED = 20_260_131;
/** On a machine with much else to do an entry takes seconds. */
const PATIENCE_MS = 1_800_000;

let lodge: LodgeHost;
let host: Served;
let line: BadLine;
let browser: Browser | undefined;
let child: ChildProcess | undefined;

beforeEach(async () => {
  lodge = await startLodgeHost(1);
  host = lodge.host;
  line = await startBadLine(Number(new URL(host.url).port));
});
afterEach(async () => {
  await browser?.close().catch(() => {});
  if (child && child.exitCode === null && child.signalCode === null) await killed(child);
  await line.close();
  await lodge.stop();
});

/** What was said in each inspection in the log book, oldest first. */
async function stored(): Promise<string[]> {
  return (await host.logbook.after(0, 100_000, 'inspection')).map((entry) => readInspection(entry)!.words);
}

async function openPage(context: BrowserContext): Promise<Page> {
  const page = await context.newPage();
  page.setDefaultTimeout(120_000);
  await page.goto(`${line.url}/#/duties`);
  await page.getByRole('link', { name: 'Enter Key switch and labels' }).waitFor();
  return page;
}

/** Fills in and enters the form of a duty as quickly as the page can take it. */
async function enter(page: Page, words: string): Promise<void> {
  await page.evaluate(async (text) => {
    const until = async <T>(find: () => T | null | false): Promise<T> => {
      for (;;) {
        const found = find();
        if (found) return found;
        await new Promise((resolve) => setTimeout(resolve, 10));
      }
    };
    const type = async (id: string, value: string) => {
      const field = document.getElementById(id) as HTMLInputElement;
      field.value = value;
      field.dispatchEvent(new Event('input', { bubbles: true }));
      await until(() => (localStorage.getItem('nightproof draft lodge key') ?? '').includes(value));
      await new Promise((resolve) => setTimeout(resolve, 0));
    };
    location.hash = '#/duty/key';
    const form = await until(() => document.querySelector<HTMLFormElement>('form.duty-form'));
    form.querySelector<HTMLButtonElement>('.rest')?.click();
    await until(() => form.querySelectorAll('input:checked').length === 3);
    await type('words', text);
    await type('who', 'Zoë');
    form.requestSubmit();
    await until(() => location.hash === '#/duties');
  }, words);
}

it(
  'are all in the log book once and in order, whatever the connection does',
  async () => {
    const random = newRandom(SEED);
    const chance = (share: number) => nextUnit(random) < share;
    browser = await startBrowser();
    const context = await browser.newContext({ viewport: { width: 390, height: 844 } });
    let page = await openPage(context);
    let other: Page | undefined;
    let up = true;
    const setUp = (next: boolean) => {
      up = next;
      line.setUp(up);
    };
    line.onSend(() =>
      chance(0.1) ? 'cut before' : chance(0.1) ? 'portal' : chance(0.25) ? 'cut after' : 'pass',
    );
    const made = Array.from({ length: sizes.phoneEntries }, (_, i) => `entry ${i + 1}`);
    for (const words of made) {
      if (chance(0.15)) setUp(!up);
      if (chance(0.05)) {
        // Without a connection the page cannot come back, but what was entered must.
        await page.close();
        setUp(true);
        page = await openPage(context);
      }
      if (up && chance(0.05)) {
        // A second window sends the same entries.
        await other?.close();
        other = await openPage(context);
      }
      await enter(page, words);
    }
    setUp(true);
    await expect.poll(stored, { interval: 250 }).toEqual(made);
    await page
      .getByText(/wait for the connection|waits for the connection/)
      .first()
      .waitFor({ state: 'detached' });
    expect(line.cutAfter()).toBeGreaterThan(0);
    expect(await host.logbook.verify()).toMatchObject({ valid: true });
  },
  PATIENCE_MS,
);

async function killed(child: ChildProcess): Promise<void> {
  const ended = once(child, 'exit');
  // With all its own processes, which would hold its folder.
  process.kill(-child.pid!, 'SIGKILL');
  await ended;
}

/** A browser with a folder of its own, as a process that can be killed. */
async function startKillable(): Promise<Browser> {
  const args = [
    ...FLAGS,
    '--headless',
    '--remote-debugging-port=0',
    `--user-data-dir=${join(lodge.folder, 'phone')}`,
  ];
  child = spawn(CHROMIUM, args, { detached: true, stdio: ['ignore', 'ignore', 'pipe'] });
  let said = '';
  const { stderr } = child;
  const address = new Promise<string>((resolve) =>
    stderr?.setEncoding('utf8').on('data', (text: string) => {
      said += text;
      const found = /DevTools listening on (ws:\S+)/.exec(said);
      if (found) resolve(found[1]);
    }),
  );
  return chromium.connectOverCDP(await address, { timeout: 120_000 });
}

it('are still there when the browser is killed the moment it has said that they are entered', async () => {
  const first = await startKillable();
  const page = await openPage(first.contexts()[0]);
  line.setUp(false);
  await enter(page, 'one');
  await enter(page, 'two');
  await killed(child!);
  expect(await stored()).toEqual([]);
  line.setUp(true);
  browser = await startKillable();
  await openPage(browser.contexts()[0]);
  await expect.poll(stored).toEqual(['one', 'two']);
});
