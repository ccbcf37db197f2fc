// Known changes to a proof file, and complete rewrites of the log book by someone with all the host's secrets: refused
// by the page in Chromium without a network, by the recipe that stands in the file, and, where the log book itself was
// written anew, by `verify`. At hand is what an inspector has: the file, and a root on paper.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openInspected, openLogbook } from '../../host/logbook/engines/open';
import { leafText } from '../../host/logbook/tree/leaf';
import { verifyBook } from '../../host/logbook/verify/verify';
import { utf8 } from '../../host/proof/bytes';
import { signCheckpoint } from '../../host/proof/ed25519';
import { drawer } from '../host/logbook/verify/drawer';
import { mutateProof, PROOF_MUTATIONS, type Texts } from '../host/proof/file/mutate';
import {
  bookOf,
  checkText,
  FORGERIES,
  type Forgery,
  GATEHOUSE,
  HOST,
  htmlOf,
  proofOf,
  sampleRecords,
} from '../host/proof/file/sample';
import { treeHash } from '../host/proof/rfc6962';
import { changesOfEach, isWhole } from '../support/depth';
import { startBrowser } from './support/browser';

const each = changesOfEach(PROOF_MUTATIONS.length, { quick: 10, usual: 30, deep: 60 });
/** Changes of each kind that the recipe judges, too. */
const byRecipe = process.env.MUTATIONS || isWhole ? 4 : 1;
const NIGHTS = 9;
/** Files given to the page at a time. */
const BATCH = 100;

const records = sampleRecords(NIGHTS);
const rootText = (size = records.length): string =>
  Buffer.from(treeHash(records.slice(0, size).map((record) => utf8(leafText(record))))).toString('base64');
const forgeries: Forgery[] = FORGERIES.flatMap((how) =>
  Array.from({ length: NIGHTS }, (_, i) => ({ how, night: i + 1 })),
).filter(({ how, night }) => how !== (night === 3 ? 'failed' : 'passed'));

let folder: string;
let browser: Browser;
let page: Page;
let texts: Texts;
let html: string;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-proofs-'));
  texts = {
    text: await proofOf({ size: records.length, noted: 7 }),
    older: await proofOf({ book: bookOf(records.slice(0, -4)), size: records.length - 4, noted: 5 }),
  };
  html = await htmlOf(texts.text);
  browser = await startBrowser();
  page = await (await browser.newContext({ offline: true })).newPage();
  page.setDefaultTimeout(0);
  writeFileSync(join(folder, 'proof.html'), html);
  await page.goto(pathToFileURL(join(folder, 'proof.html')).href);
  await page.waitForSelector('.verdict');
  writeFileSync(join(folder, 'check.sh'), (await page.locator('#recipe').textContent()) ?? '');
});
afterAll(async () => {
  await browser.close();
  rmSync(folder, { recursive: true, force: true });
});

interface Answer {
  verdict: string;
  /** To the root on paper, '' where the file is refused. */
  paper: string;
}

/** Gives the texts one after another to the page that is open, as files, and types in the root. */
async function answersTo(bytes: readonly Buffer[], root: string): Promise<Answer[]> {
  const found: Answer[] = [];
  for (let from = 0; from < bytes.length; from += BATCH)
    found.push(...(await answersToSome(bytes.slice(from, from + BATCH), root)));
  return found;
}

function answersToSome(bytes: readonly Buffer[], root: string): Promise<Answer[]> {
  return page.evaluate(
    async ({ files, root }) => {
      const found: { verdict: string; paper: string }[] = [];
      for (const file of files) {
        const name = `changed-${found.length}-${file.length}-${performance.now()}`;
        const transfer = new DataTransfer();
        transfer.items.add(new File([Uint8Array.from(atob(file), (c) => c.charCodeAt(0))], name));
        const input = document.querySelector<HTMLInputElement>('input[type=file]')!;
        input.files = transfer.files;
        input.dispatchEvent(new Event('change', { bubbles: true }));
        while (
          !document.querySelector('.other')?.textContent?.includes(`${name}”`) ||
          !document.querySelector('.verdict') ||
          !document.querySelector('input[type=file]')
        )
          await new Promise((resolve) => setTimeout(resolve, 1));
        const verdict = document.querySelector('.verdict')!.textContent ?? '';
        const noted = document.querySelector<HTMLInputElement>('#noted');
        if (noted) {
          noted.value = root;
          noted.dispatchEvent(new Event('input', { bubbles: true }));
          await new Promise((resolve) => setTimeout(resolve, 20));
        }
        found.push({ verdict, paper: document.querySelector('.answer')?.textContent ?? '' });
      }
      return found;
    },
    { files: bytes.map((one) => pageWith(one).toString('base64')), root },
  );
}

/** The file with other data in it, as someone with an editor would make it. */
function pageWith(bytes: Buffer): Buffer {
  const [before, after] = html.split(texts.text);
  return Buffer.concat([Buffer.from(before), bytes, Buffer.from(after)]);
}

function recipe(bytes: Buffer, root: string): { code: number | null; said: string } {
  writeFileSync(join(folder, 'other.html'), pageWith(bytes));
  const { status, stdout, stderr } = spawnSync('bash', ['check.sh', 'other.html', root], {
    cwd: folder,
    encoding: 'utf8',
  });
  return { code: status, said: stdout + stderr };
}

describe('a proof file', () => {
  it.each(PROOF_MUTATIONS)('%s: refused by the page and by the recipe, each in words', async (kind) => {
    const draw = drawer(PROOF_MUTATIONS.indexOf(kind) + 1);
    const mutants = Array.from({ length: each }, () => mutateProof(kind, texts, draw));
    const answers = await answersTo(mutants, rootText());
    expect(answers).toHaveLength(each);
    expect(answers.filter(({ verdict }) => !/^Refused\. [A-Z“"].{20}/s.test(verdict))).toEqual([]);
    expect(answers.filter(({ verdict }) => /check failed/.test(verdict))).toEqual([]);
    for (const mutant of mutants.slice(0, byRecipe)) {
      const { code, said } = recipe(mutant, rootText());
      expect(code, said).toBe(1);
      expect(said.trimEnd().split('\n').at(-1)).toMatch(/^REFUSED: .{15}/);
    }
  });

  it('with its signature twice: refused by the recipe as by the page', async () => {
    const [line] = texts.text.split('== signature\n')[1].split('\n');
    const twice = Buffer.from(texts.text.replace(`${line}\n`, `${line}\n${line}\n`));
    const [{ verdict }] = await answersTo([twice], rootText());
    expect(verdict).toMatch(/^Refused\./);
    expect(recipe(twice, rootText())).toMatchObject({ code: 1 });
  });

  it('rolled back as a whole: it holds, but not with the root on paper', async () => {
    const older = Buffer.from(texts.older);
    const [{ verdict, paper }] = await answersTo([older], rootText());
    expect([verdict.slice(0, 6), paper.slice(0, 3)]).toEqual(['Sound.', 'No:']);
    expect(recipe(older, rootText())).toMatchObject({
      code: 1,
      said: expect.stringMatching(/REFUSED: the root/),
    });
  });

  it('whole: held by both, with the root on paper', async () => {
    const [{ verdict, paper }] = await answersTo([Buffer.from(texts.text)], rootText());
    expect([verdict.slice(0, 6), paper.slice(0, 4)]).toEqual(['Sound.', 'Yes:']);
    expect(recipe(Buffer.from(texts.text), rootText())).toMatchObject({ code: 0 });
  });
});

describe('a log book written anew with all secrets after a root was noted', () => {
  const noted = { size: records.length, root: Buffer.from(rootText(), 'base64') };

  it('is refused by verify', async () => {
    for (const forgery of forgeries) {
      const file = join(folder, `${forgery.how.replaceAll(' ', '-')}-${forgery.night}.db`);
      const logbook = await openLogbook(file);
      await logbook.appendBatch(sampleRecords(NIGHTS, forgery));
      const size = await logbook.tree.size();
      const text = signCheckpoint(HOST, { size, root: await logbook.tree.root() });
      await logbook.checkpoints.add({ size, at: 1, text });
      await logbook.close();
      const book = await openInspected(file);
      expect((await verifyBook(book, { noted: [] })).faults, JSON.stringify(forgery)).toEqual([]);
      const { valid, faults } = await verifyBook(book, { noted: [noted], witnesses: [GATEHOUSE.key] });
      expect(valid, JSON.stringify(forgery)).toBe(false);
      expect(faults.map(({ why }) => why).join(' ')).toMatch(/noted/);
      book.close();
    }
  });

  it('is refused by the page and by the recipe, although its proof holds together', async () => {
    const proofs: Buffer[] = [];
    for (const forgery of forgeries) {
      const forged = sampleRecords(NIGHTS, forgery);
      const text = await proofOf({ book: bookOf(forged), size: forged.length, noted: 7 });
      await checkText(text);
      proofs.push(Buffer.from(text));
    }
    const answers = await answersTo(proofs, rootText());
    expect(answers.filter(({ paper }) => !/^No: /.test(paper))).toEqual([]);
    for (const proof of proofs.slice(0, 3 * byRecipe)) {
      const { code, said } = recipe(proof, rootText());
      expect([code, said.trimEnd().split('\n').at(-1)]).toEqual([
        1,
        expect.stringMatching(/^REFUSED: the root you noted/),
      ]);
    }
  });
});
