import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { expect, it } from 'vitest';
import { schemasOfTypes } from './fromTypes';

const file = fileURLToPath(new URL('../../../host/integrators/documents/types.json', import.meta.url));

it('types.json says what the types in host/api say (rewrite it with WRITE_API_TYPES=1)', () => {
  const text = `${JSON.stringify(schemasOfTypes(), null, 1)}\n`;
  if (process.env.WRITE_API_TYPES === '1') writeFileSync(file, text);
  expect(readFileSync(file, 'utf8') === text, 'run it with WRITE_API_TYPES=1').toBe(true);
});
