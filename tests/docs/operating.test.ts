import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { expect, it } from 'vitest';
import * as contract from '../../firmware/contract/codes';
import { reasonSentence } from '../../host/words/codes';

const guide = readFileSync(fileURLToPath(new URL('../../docs/operating.md', import.meta.url)), 'utf8');

it('the operating guide has one row for every reason, in exactly the words of the page', () => {
  const tables = contract as unknown as Record<string, Record<string, number | string>>;
  const reasons = Object.values(tables.Reason).filter(
    (code): code is number => typeof code === 'number' && code > 0,
  );
  expect(reasons.length).toBeGreaterThan(40);
  const rows = guide.split('\n').filter((line) => line.startsWith('| '));
  for (const reason of reasons) {
    const sentence = reasonSentence(reason);
    expect(rows.filter((row) => row.startsWith(`| ${sentence} |`)).length, sentence).toBe(1);
  }
});

it('the operating guide names all its chapters at its head', () => {
  const [head, ...chapters] = guide.split(/^## /m);
  expect(chapters.length).toBeGreaterThan(20);
  for (const chapter of chapters) expect(head).toContain(`[${chapter.split('\n')[0]}](#`);
});

it('the way to the page on a phone is short, and a line of the README leads there', () => {
  const read = (path: string) =>
    readFileSync(fileURLToPath(new URL(`../../${path}`, import.meta.url)), 'utf8');
  const phone = read('docs/phone.md');
  expect(phone.split(/\s+/).length).toBeLessThanOrEqual(250);
  for (const words of ['npm start -- --host', '--broker-host', '/trust', 'Restore supply', 'accounts reset'])
    expect(phone).toContain(words);
  const trial = phone.split('## In a building')[0];
  expect(trial.split(/\s+/).length).toBeLessThanOrEqual(120);
  expect(trial).not.toContain('/trust');
  // Right below the paragraph that states the job.
  expect(read('README.md').split('\n\n')[2]).toContain('(docs/phone.md)');
});
