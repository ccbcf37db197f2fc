import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { expect, it } from 'vitest';
import { dutiesDocument } from '../../../host/duties/document';

const file = fileURLToPath(new URL('../../../docs/duties.md', import.meta.url));

it('docs/duties.md matches the data (rewrite it with WRITE_DUTIES_DOC=1)', () => {
  if (process.env.WRITE_DUTIES_DOC === '1') writeFileSync(file, dutiesDocument());
  expect(readFileSync(file, 'utf8')).toBe(dutiesDocument());
});
