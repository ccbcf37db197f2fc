// The picture in a real browser: XML that its parser accepts, and nothing cut off at any width.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { yearPicture } from '../../host/picture/picture';
import { circuit, discharge, test, YEAR } from '../host/picture/year';
import { startBrowser, visit } from './support/browser';
import { run } from './support/cli';

/** A desktop, a sheet of paper and a phone, CSS pixels. */
const WIDTHS = [1440, 800, 390];

let folder: string;
let browser: Browser;
let museum: string;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-picture-'));
  museum = join(folder, 'museum.svg');
  browser = await startBrowser();
  const outcome = await run('simulate', '--years', '1', '--seed', '7', '--svg', museum);
  expect(outcome).toMatchObject({ code: 0, stderr: '' });
});
afterAll(async () => {
  await browser?.close();
  rmSync(folder, { recursive: true, force: true });
});

function fileOf(name: string, svg: string): string {
  const file = join(folder, name);
  writeFileSync(file, svg);
  return file;
}

/** Texts and marks that stick out of the window on either side, or below the end of the picture. */
async function cutOff(file: string, width: number): Promise<string[]> {
  const { page, complaints } = await visit(browser);
  try {
    await page.setViewportSize({ width, height: 900 });
    await page.goto(`file://${file}`);
    expect(complaints).toEqual([]);
    return await page.evaluate(() => {
      const root = document.documentElement.getBoundingClientRect();
      return [...document.querySelectorAll('text, path, circle, rect')]
        .filter((element) => element.getAttribute('width') !== '100%')
        .map((element) => ({ element, box: element.getBoundingClientRect() }))
        .filter(({ element, box }) => {
          // No block overlaps the one beside it.
          const block = (element.closest('[id^=b]') as SVGGElement).getCTM()?.e ?? 0;
          const right = Math.min(window.innerWidth, block + 352 + 11);
          return box.left < block - 1 || box.right > right || box.bottom > root.bottom;
        })
        .map(({ element }) => element.outerHTML);
    });
  } finally {
    await page.close();
  }
}

describe('the picture of a year', () => {
  it.each(WIDTHS)('has nothing cut off %d px wide', async (width) => {
    expect(await cutOff(museum, width)).toEqual([]);
  });

  it('is XML, even with names that would break it', async () => {
    const evil = '</text><script>"&\u0000]]>';
    const circuits = YEAR.circuits.map((one) => ({ ...one, name: evil }));
    const file = fileOf('evil.svg', yearPicture([{ ...YEAR, name: evil, circuits }]));
    for (const one of [file, museum]) {
      const { page } = await visit(browser);
      const told = await page.evaluate(
        (text) => {
          const parsed = new DOMParser().parseFromString(text, 'image/svg+xml');
          const { documentElement: root } = parsed;
          const of = (name: string) => root.querySelector(`:scope > ${name}`)?.textContent ?? '';
          return {
            root: root.nodeName,
            errors: parsed.getElementsByTagName('parsererror').length,
            scripts: parsed.getElementsByTagName('script').length,
            title: of('title'),
            desc: of('desc'),
          };
        },
        readFileSync(one, 'utf8'),
      );
      await page.close();
      expect(told).toMatchObject({ root: 'svg', errors: 0, scripts: 0 });
      expect(told.title).toContain(one === file ? '</text><script>"&]]>' : 'Museum of Tides');
      expect(told.desc).toContain('with a failed luminaire');
    }
  });

  it('has nothing cut off with the longest names a site file allows, nor with a folded estate', async () => {
    const long = 'M'.repeat(24);
    const failed = [test(3, { kind: 'limited', outcome: 'failed', failed: [long] })];
    const [lamp] = discharge(0).lamps;
    const late = discharge(9, { circuit: long, lamps: [{ ...lamp, name: long, hasFailed: true }] });
    const name = 'W'.repeat(20).concat(' ').repeat(4).trim();
    const one = { ...YEAR, name, circuits: [circuit(long, failed)], discharges: [late] };
    const many = Array.from({ length: 400 }, (_, i) => circuit(`h${i}-f0a`, [test(i % 300)]));
    const file = fileOf('long.svg', yearPicture([one, { ...YEAR, circuits: many }]));
    for (const width of WIDTHS) expect(await cutOff(file, width)).toEqual([]);
  });

  it('shows the failures planted in the museum', () => {
    const svg = readFileSync(museum, 'utf8');
    for (const luminaire of ['LA-05', 'GA-04', '1B-01', '2A-05']) expect(svg).toContain(`: ${luminaire} (`);
    expect(svg).toContain('>GA-04 out at 40 min<');
  });
});

describe('--svg', () => {
  it('changes nothing in the run, nor in its output', async () => {
    const words = ['simulate', '--years', '1', '--estate', '9x2', '--json'];
    const plain = JSON.parse((await run(...words)).stdout);
    const drawn = JSON.parse((await run(...words, '--svg', join(folder, 'estate.svg'))).stdout);
    const { seconds: _a, cpuSeconds: _b, controllerYearsPerSecond: _c, ...same } = plain;
    expect(drawn).toMatchObject(same);
    expect(Object.keys(drawn)).toEqual(Object.keys(plain));
  });

  it('draws both sides of a comparison', async () => {
    const file = join(folder, 'both.svg');
    const sides = ['docs/examples/museum-by-hand.yaml', 'docs/examples/museum-of-tides.yaml'];
    const outcome = await run('simulate', '--compare', ...sides, '--years', '1', '--svg', file);
    expect(outcome).toMatchObject({ code: 0, stderr: '' });
    const svg = readFileSync(file, 'utf8');
    expect(svg).toContain(
      'Museum of Tides, Hollinsea: tested by hand; Museum of Tides, Hollinsea: tested by controllers',
    );
    for (const width of WIDTHS) expect(await cutOff(file, width)).toEqual([]);
  });

  it('gives one sentence if it cannot be drawn or written, before anything is simulated', async () => {
    const told = async (...words: string[]) => {
      const { code, stdout, stderr } = await run('simulate', ...words);
      expect([code, stdout]).toEqual([1, '']);
      return stderr;
    };
    expect(await told('--days', '2', '--svg', join(folder, 'x.svg'))).toBe(
      '--svg draws years: use it with --years or --compare.\n',
    );
    expect(await told('--years', '100', '--svg', join(folder, 'no', 'x.svg'))).toMatch(
      /^--svg .*x\.svg: there is no such folder; name a file in an existing folder\.\n$/,
    );
    expect(await told('--years', '100', '--svg', folder)).toMatch(/: the file cannot be written \(EISDIR\);/);
  });
});
