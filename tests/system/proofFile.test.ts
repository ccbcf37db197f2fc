// The proof file as an inspector meets it: opened from the disk in Chromium with the network off, and by the recipe
// that stands in it, run in bash exactly as shown.

import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { leafText } from '../../host/logbook/tree/leaf';
import { utf8 } from '../../host/proof/bytes';
import { noteSigner } from '../../host/proof/ed25519';
import { KeyType, keyText } from '../../host/proof/verifierKey';
import { bookOf, GATEHOUSE, HOST, htmlOf, proofOf, sampleRecords } from '../host/proof/file/sample';
import { treeHash } from '../host/proof/rfc6962';
import { isWhole } from '../support/depth';
import { expectSound, startBrowser } from './support/browser';

const records = sampleRecords();
const SIZE = records.length;
const NOTED = 7;
const leaves = records.map((record) => utf8(leafText(record)));
const rootAt = (size: number): string => Buffer.from(treeHash(leaves.slice(0, size))).toString('base64');

let folder: string;
let browser: Browser;
let offline: BrowserContext;
let page: Page;
let complaints: string[];
let asked: string[];
let text: string;
let html: string;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'proof-'));
  text = await proofOf({ size: SIZE, noted: NOTED });
  html = await htmlOf(text);
  browser = await startBrowser();
  offline = await browser.newContext({ offline: true, viewport: { width: 1280, height: 1000 } });
  page = await offline.newPage();
  page.setDefaultTimeout(120_000);
  [complaints, asked] = [[], []];
  page.on('console', (message) => complaints.push(message.text()));
  page.on('pageerror', (error) => complaints.push(error.message));
  page.on('request', (request) => asked.push(request.url()));
});
afterAll(async () => {
  await browser.close();
  rmSync(folder, { recursive: true });
});

/** Opens the HTML from the disk and returns the verdict it comes to. */
async function open(content: string): Promise<string> {
  const file = join(folder, 'proof.html');
  writeFileSync(file, content);
  await page.goto(pathToFileURL(file).href);
  await page.waitForSelector('.verdict');
  return (await page.locator('.verdict').textContent()) ?? '';
}

interface Recipe {
  code: number | null;
  said: string;
}

/** Runs the recipe that stands in the file on another. */
function recipe(content: string, ...noted: string[]): Recipe {
  writeFileSync(join(folder, 'proof.html'), content);
  const { status, stdout, stderr } = spawnSync('bash', ['check.sh', 'proof.html', ...noted], {
    cwd: folder,
    encoding: 'utf8',
  });
  return { code: status, said: stdout + stderr };
}

/** The same page with another text, changed as someone with an editor would. */
const withText = (changed: string): string => html.replace(text, () => changed);

describe('in Chromium, from the disk and without a network', () => {
  it('says what is proven and against whom, and asks nobody anything', async () => {
    expect(await open(html)).toMatch(/^Sound\./);
    const claims = await page.locator('.claims').textContent();
    expect(claims).toContain('when it had 22 entries');
    expect(claims).toContain(keyText(HOST.key));
    expect(claims).toMatch(/By “gatehouse” on 28 May 2026, 21:26, if this is its own key/);
    expect(claims).toMatch(/begins with the 7 entries whose root was noted earlier/);
    expect(claims).toMatch(/records 1 to 9 are all here/);
    expect(await page.locator('tbody tr').count()).toBe(10);
    expect(await page.locator('.verdict-word.fail').count()).toBe(1);
    expect(await page.locator('tbody').textContent()).toContain('new <b>lamp</b></script>');
    expect(complaints).toEqual([]);
    expect(asked).toEqual([page.url()]);
    await expectSound({ page, complaints }, 'proof');
  });

  it('answers to the root on paper', async () => {
    await open(html);
    const answer = async (typed: string): Promise<string> => {
      await page.getByLabel('Root on paper').fill(typed);
      return (await page.locator('.answer').textContent()) ?? '';
    };
    expect(await answer('')).toMatch(/at least the first 16/);
    expect(await answer(rootAt(SIZE).replace(/(.{4})/g, '$1 '))).toMatch(/^Yes: it is the root/);
    expect(await answer(rootAt(NOTED).slice(0, 20))).toMatch(/^Yes: the log book in this file begins with/);
    expect(await answer(rootAt(NOTED + 1))).toMatch(/^No: /);
    expect(await answer(rootAt(SIZE).toLowerCase())).toMatch(/^No: /);
  });

  it('shows each record as it was written, with a proof of its own', async () => {
    await open(html);
    await page.getByText('12 records', { exact: true }).click();
    await page.getByText('Proof of this record alone').first().click();
    const proof = await page.locator('.tlog-proof').textContent();
    expect(proof).toMatch(/^c2sp\.org\/tlog-proof@v1\nindex 0\n/);
    expect(await page.locator('.records pre').nth(2).textContent()).toContain('"kind":');
  });

  it('checks another file without running what is in it', async () => {
    await open(html);
    const forged = withText(text.replace('luminaire A-2', 'luminaire A-1')).replace(
      '</body>',
      '<script>alert(1)</script>',
    );
    writeFileSync(join(folder, 'other.html'), forged);
    await page.getByLabel('Another proof file').setInputFiles(join(folder, 'other.html'));
    await expect.poll(() => page.locator('.verdict').textContent()).toMatch(/^Refused\. .*changed/);
    writeFileSync(join(folder, 'other.html'), html);
    await page.getByLabel('Another proof file').setInputFiles([]);
    await page.getByLabel('Another proof file').setInputFiles(join(folder, 'other.html'));
    await expect.poll(() => page.locator('.verdict').textContent()).toMatch(/^Sound\./);
  });

  it('comes to the same where WebAssembly is switched off', async () => {
    const careful = await browser.newContext({ offline: true });
    await careful.addInitScript('delete globalThis.WebAssembly');
    const other = await careful.newPage();
    writeFileSync(join(folder, 'proof.html'), html);
    await other.goto(pathToFileURL(join(folder, 'proof.html')).href);
    await expect.poll(() => other.locator('.verdict').textContent()).toMatch(/^Sound\./);
    expect(await other.locator('.claims').textContent()).toMatch(/records 1 to 9 are all here/);
    await careful.close();
  });

  it('says plainly that nobody but the owner vouches when no witness has signed', async () => {
    await open(await htmlOf(await proofOf({ size: SIZE, witnessed: false })));
    expect(await page.locator('.claims').textContent()).toMatch(
      /No witness has signed. Whoever holds the secret/,
    );
  });

  it('refuses a log book rewritten with all secrets, by the root on paper', async () => {
    const rewritten = records.map((record) => ({
      ...record,
      body: record.body.replace('[2,1,0,', '[1,0,90,'),
    }));
    await open(await htmlOf(await proofOf({ book: bookOf(rewritten), size: SIZE, witnessed: false })));
    await page.getByLabel('Root on paper').fill(rootAt(SIZE));
    expect(await page.locator('.answer').textContent()).toMatch(/^No: /);
  });
});

describe('by the recipe', () => {
  beforeAll(async () => {
    await open(html);
    writeFileSync(join(folder, 'check.sh'), (await page.locator('#recipe').textContent()) ?? '');
  });

  it('finds the same as the page', () => {
    const { code, said } = recipe(html, rootAt(SIZE).slice(0, 16));
    expect(said).toContain(
      `OK: 12 records are in the log book nightproof/demo of 22 entries, signed with key ${keyText(HOST.key)}`,
    );
    expect(said).toContain(`OK: root ${rootAt(SIZE)}`);
    expect(said).toContain(
      `OK: witness gatehouse signed it on 2026-05-28 20:26:40 UTC, with key ${keyText(GATEHOUSE.key)}`,
    );
    expect(said).toContain('OK: its root is the one you noted');
    expect(code).toBe(0);
    const shown = readFileSync(join(folder, 'proof-checked/records.txt'), 'utf8');
    for (const { address, body } of records) expect(shown.includes(body)).toBe(address.startsWith('demo/a'));
  });

  it('reads keys whose base64 holds a plus sign, as every second one does', async () => {
    const withPlus = (type: KeyType, name: string) => {
      for (let seed = 0; ; seed++) {
        const signer = noteSigner(name, type, new Uint8Array(32).fill(seed));
        if (keyText(signer.key).split('+').length > 3) return signer;
      }
    };
    const host = withPlus(KeyType.Note, 'nightproof/demo');
    const gatehouse = withPlus(KeyType.Cosignature, 'gatehouse');
    const file = await htmlOf(await proofOf({ size: SIZE, host, gatehouse }));
    const { code, said } = recipe(file, rootAt(SIZE));
    expect([code, said]).toEqual([0, expect.stringContaining(`UTC, with key ${keyText(gatehouse.key)}`)]);
  });

  it.each(isWhole ? [1, 2, 3, 8, 16, 21] : [6, 21])(
    'follows the log book from a root noted at %i entries',
    async (noted) => {
      const file = await htmlOf(await proofOf({ size: SIZE, noted }));
      const { code, said } = recipe(file, rootAt(noted));
      expect([said.split('\n').find((line) => line.includes('noted')), code]).toEqual([
        `OK: it begins with the ${noted} entries whose root you noted`,
        0,
      ]);
    },
  );

  it('refuses another root, a forged earlier one, and a rewritten log book', async () => {
    expect(recipe(html, rootAt(9))).toMatchObject({
      code: 1,
      said: expect.stringMatching(/REFUSED: the root you noted/),
    });
    const rewritten = records.map((record) => ({
      ...record,
      body: record.body.replace('[2,1,0,', '[1,0,90,'),
    }));
    const book = bookOf(rewritten);
    const forged = {
      ...book,
      tree: {
        ...book.tree,
        root: (n?: number) =>
          n === 7
            ? bookOf(records.map((r, i) => (i === 2 ? { ...r, at: 5 } : r))).tree.root(7)
            : book.tree.root(n),
      },
    };
    const noted = Buffer.from(await forged.tree.root(7)).toString('base64');
    const file = await htmlOf(await proofOf({ book: forged, size: SIZE, noted: 7 }));
    expect(recipe(file, noted)).toMatchObject({ code: 1, said: expect.stringMatching(/does not lead on/) });
    expect(recipe(file, rootAt(SIZE)).code).toBe(1);
  });
});
