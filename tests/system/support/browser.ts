// The real browser, and what each of our pages must meet: no accessibility fault, nothing cut off sideways,
// no errors on the console.
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { AxeResults } from 'axe-core';
import { type Browser, chromium, type Page } from 'playwright-core';
import { expect } from 'vitest';

export const CHROMIUM = '/usr/bin/chromium';
export const FLAGS = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];
const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

/** How long to wait for a page on a busy machine, ms. */
const PATIENCE_MS = 120_000;

/** Widths at which the page must be whole, CSS pixels: a desktop and a phone; and, once for each page, a large screen. */
export const WIDTHS = [1440, 390];
export const ALL_WIDTHS = [...WIDTHS, 1920];

export interface Visit {
  page: Page;
  /** Errors on the console so far. */
  complaints: string[];
}

/** Starts Debian's Chromium. @throws Error naming the package if it is not installed. */
export function startBrowser(): Promise<Browser> {
  return chromium.launch({ executablePath: CHROMIUM, args: FLAGS, timeout: PATIENCE_MS });
}

/** A fresh page whose console is watched. */
export async function visit(browser: Browser): Promise<Visit> {
  const page = await browser.newPage({ viewport: { width: WIDTHS[0], height: 1000 } });
  page.setDefaultTimeout(PATIENCE_MS);
  const complaints: string[] = [];
  page.on('console', (message) => {
    if (message.type() === 'error' || message.type() === 'warning')
      complaints.push(`${message.text()} ${message.location().url}`);
  });
  page.on('pageerror', (error) => complaints.push(error.message));
  return { page, complaints };
}

async function axeFindings(page: Page): Promise<string[]> {
  // As a debugger expression, because the page's own policy admits no foreign script.
  await page.evaluate(`${AXE};0`);
  const results = (await page.evaluate('axe.run()')) as AxeResults;
  return results.violations.map(
    ({ id, help, nodes }) => `${id}: ${help} (${nodes.map((node) => node.target.join(' ')).join(', ')})`,
  );
}

/** Elements that stick out to the right, outermost first; empty if the page does not scroll sideways. */
async function sticksOut(page: Page): Promise<string[]> {
  return page.evaluate(() => {
    const width = document.documentElement.clientWidth;
    if (document.documentElement.scrollWidth <= width) return [];
    return [...document.querySelectorAll('body *')]
      .filter((element) => element.getBoundingClientRect().right > width + 0.5)
      .map((element) => `${element.tagName} ${element.className}`);
  });
}

/** Checks the page in its present state for all of the above, at each width. */
export async function expectSound({ page, complaints }: Visit, name: string, widths = WIDTHS): Promise<void> {
  for (const width of widths) {
    await page.setViewportSize({ width, height: 1000 });
    expect(await sticksOut(page), `${name} at ${width} px`).toEqual([]);
    expect(await axeFindings(page), `${name} at ${width} px`).toEqual([]);
  }
  await page.setViewportSize({ width: WIDTHS[0], height: 1000 });
  expect(complaints, name).toEqual([]);
}
