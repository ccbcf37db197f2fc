// Sheets that hold more than a sheet can, read back by another program.
import { createWriteStream, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import type { Block } from '../../../host/report/document';
import { writePdf } from '../../../host/report/pdf/pdf';
import { all, readPdf } from './readPdf';

const folder = mkdtempSync(join(tmpdir(), 'nightproof-sheets-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

async function read(blocks: Block[]) {
  const file = join(folder, 'sheets.pdf');
  await writePdf(
    {
      ...{ title: 'Sheets', subject: 'Sheets', language: 'en', foot: 'Foot', madeAt: 1_780_000_000 },
      blocks: (async function* () {
        yield* blocks;
      })(),
    },
    createWriteStream(file),
    { paper: 'a4', turns: () => undefined, attachments: [] },
  );
  return readPdf(file);
}

it('a row higher than a sheet goes on over the next ones, without losing a word', async () => {
  const words = Array.from({ length: 4000 }, (_, i) => `w${i}`);
  const columns = [
    { title: 'A', width: 1 },
    { title: 'B', width: 1 },
  ];
  const { pages } = await read([
    { kind: 'heading', level: 1, text: 'Long' },
    { kind: 'table', columns, rows: [{ cells: [words.join(' '), 'beside'] }, { cells: ['after', ''] }] },
  ]);
  expect(pages.length).toBeGreaterThan(2);
  const cells = pages.flatMap((page) => all(page, 'TR').map(({ children }) => children[0].text));
  const shown = cells.filter((text) => text !== '' && text !== 'A');
  expect(shown.join(' ').split(' ')).toEqual([...words, 'after']);
});

it('a list goes on over the next sheets', async () => {
  const items = Array.from({ length: 90 }, (_, i) => `Item ${i} of a list that is longer than a sheet.`);
  const { pages } = await read([{ kind: 'list', items }]);
  expect(pages.length).toBeGreaterThan(1);
  const shown = pages.flatMap((page) => all(page, 'LBody').map(({ text }) => text));
  expect(shown.filter((text) => text !== '')).toEqual(items);
});

it('a new part begins on the same sheet where much of it is free, else on a new one', async () => {
  const lines = (n: number): Block[] =>
    Array.from({ length: n }, (_, i) => ({ kind: 'text', text: `Line ${i}` }));
  const part: Block[] = [{ kind: 'part' }, { kind: 'heading', level: 1, text: 'Part' }];
  const sheetOf = async (before: number): Promise<number> => {
    const { pages } = await read([...lines(before), ...part]);
    return pages.findIndex((page) => all(page, 'H2').some(({ text }) => text === 'Part'));
  };
  expect([await sheetOf(10), await sheetOf(40)]).toEqual([0, 1]);
});
