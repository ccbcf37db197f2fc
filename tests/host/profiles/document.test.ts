import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { expect, it } from 'vitest';
import { profilesDocument } from '../../../host/profiles/document';

const file = fileURLToPath(new URL('../../../docs/profiles.md', import.meta.url));

it('docs/profiles.md matches the data (rewrite it with WRITE_PROFILES_DOC=1)', () => {
  if (process.env.WRITE_PROFILES_DOC === '1') writeFileSync(file, profilesDocument());
  expect(readFileSync(file, 'utf8')).toBe(profilesDocument());
});
