// What it costs a browser to check a proof file: Chromium opens it from the disk, without a network, and comes to its
// verdict. node --import tsx tests/bench/proofPage.ts [RECORDS] measures that alone.
import { createHash } from 'node:crypto';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser } from 'playwright-core';
import { noteAddress } from '../../host/house/notes/notes';
import { openLogbook } from '../../host/logbook/engines/open';
import type { NewRecord } from '../../host/logbook/logbook';
import { signCheckpoint } from '../../host/proof/ed25519';
import { loadVerifier } from '../../host/proof/file/assets';
import { collectProof } from '../../host/proof/file/collect';
import { proofHtml } from '../../host/proof/file/html';
import { hostSigner } from '../../host/proof/hostKey';
import { KEYS, newJournal, resultFields } from '../host/logbook/records';
import { startBrowser } from '../system/support/browser';

const BATCH = 2000;
const LAMPS = 8;
const ADDRESS = 'bench/circuit';
const STARTED = 1770000000;

function* recordsOf(count: number): Generator<NewRecord> {
  const notes = newJournal(noteAddress(ADDRESS), 'host');
  const ids = Array.from({ length: LAMPS }, (_, i) => `L-${i}`).join(' ');
  yield notes.record('listed', { who: 'Nightproof host', revision: 1, luminaires: ids });
  const journal = newJournal(ADDRESS);
  const rows = Array.from({ length: LAMPS }, () => [1, 0, 90, 300, 300, 290, 2]);
  for (let i = 1; i < count; i++)
    yield journal.record('result', resultFields(rows, { test: i, started: STARTED + 60 * i }));
}

/** The HTML file with `count` records of one circuit. */
async function proofPage(count: number, folder: string): Promise<{ html: string; collectMs: number }> {
  const logbook = await openLogbook(join(folder, 'bench.db'));
  try {
    let batch: NewRecord[] = [];
    for (const record of recordsOf(count)) {
      batch.push(record);
      if (batch.length < BATCH) continue;
      await logbook.appendBatch(batch);
      batch = [];
    }
    if (batch.length > 0) await logbook.appendBatch(batch);
    const signer = hostSigner(KEYS, 'bench');
    const text = signCheckpoint(signer, { size: count, root: await logbook.tree.root(count) });
    const began = performance.now();
    const proof = await collectProof({
      ...{ logbook, signer, witnesses: [] },
      about: {
        luminaire: 'L-3',
        formerly: [],
        from: '2026-02-01',
        to: '2027-12-31',
        zone: 'Europe/London',
        building: 'Bench',
      },
      ...{ from: 0, to: 4000000000 },
      checkpoint: { size: count, at: STARTED, text, cosignatures: [], stamps: [] },
    });
    if (proof.entries !== count) throw new Error('Records are missing in the proof.');
    const collectMs = performance.now() - began;
    const hashOf = (part: string) => createHash('sha256').update(part).digest('base64');
    return { html: proofHtml(proof.text, 'Bench', await loadVerifier(), hashOf), collectMs };
  } finally {
    await logbook.close();
  }
}
export interface PageCost {
  records: number;
  bytes: number;
  /** To gather proof and records from the log book, ms. */
  collectMs: number;
  /** From the page's first word to its verdict, and from opening the file, ms. */
  verdictMs: number;
  openMs: number;
  /** Longest time for which the page did not answer meanwhile, ms. */
  stallMs: number;
  /** WebCrypto's SHA-256 over as many bytes as the file has, in the same page, ms. */
  hashMs: number;
}

/** Notes when the page begins, when it is done, and how long it was busy at a stretch. */
function watch(): void {
  const seen = { stallMs: 0, began: 0, done: 0 };
  Object.assign(globalThis, { seen });
  let last = 0;
  setInterval(() => {
    const now = performance.now();
    if (seen.began > 0 && seen.done === 0)
      seen.stallMs = Math.max(seen.stallMs, now - Math.max(last, seen.began));
    last = now;
  });
  new MutationObserver(() => {
    if (document.querySelector('[role=status]')) seen.began ||= performance.now();
    if (document.querySelector('.verdict')) seen.done ||= performance.now();
  }).observe(document, { childList: true, subtree: true });
}

async function hashBare(bytes: number): Promise<number> {
  const data = new Uint8Array(bytes).fill(65);
  const began = performance.now();
  await crypto.subtle.digest('SHA-256', data);
  return performance.now() - began;
}

async function openIn(
  browser: Browser,
  file: string,
): Promise<Pick<PageCost, 'verdictMs' | 'openMs' | 'stallMs'>> {
  const context = await browser.newContext({ offline: true });
  const page = await context.newPage();
  page.setDefaultTimeout(0);
  await page.addInitScript(watch);
  await page.goto(pathToFileURL(file).href, { waitUntil: 'commit', timeout: 0 });
  await page.waitForSelector('.verdict');
  if (!/^Sound/.test((await page.locator('.verdict').textContent()) ?? ''))
    throw new Error('The page refuses a proof that holds.');
  const { stallMs, began, done } = await page.evaluate(
    () => (globalThis as unknown as { seen: { stallMs: number; began: number; done: number } }).seen,
  );
  await context.close();
  return { verdictMs: done - began, openMs: done, stallMs };
}

/** Makes a proof of `records` records of eight luminaires and has Chromium check it, twice; the better one counts. */
export async function measurePage(records: number): Promise<PageCost> {
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-bench-'));
  const browser = await startBrowser();
  try {
    const { html, collectMs } = await proofPage(records, folder);
    const file = join(folder, 'proof.html');
    writeFileSync(file, html);
    const runs = [await openIn(browser, file), await openIn(browser, file)];
    const best = runs[0].verdictMs < runs[1].verdictMs ? runs[0] : runs[1];
    const page = await browser.newPage();
    await page.goto(pathToFileURL(join(process.cwd(), 'README.md')).href);
    const hashMs = await page.evaluate(hashBare, html.length);
    return { records, bytes: html.length, collectMs, hashMs, ...best };
  } finally {
    await browser.close();
    rmSync(folder, { recursive: true, force: true });
  }
}

if (process.argv[1] === import.meta.filename) {
  const { records, bytes, ...ms } = await measurePage(Number(process.argv[2] ?? 100_000));
  process.stdout.write(
    `${records} records, ${(bytes / 2 ** 20).toFixed(0)} MiB; ms: ${JSON.stringify(ms)}\n`,
  );
}
