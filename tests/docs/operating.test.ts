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
