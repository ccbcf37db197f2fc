import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { expect, it } from 'vitest';
import { parse } from 'yaml';
import { z } from 'zod';
import { fieldIn, siteDocument } from '../../host/site/document';
import { FIELD_NOTES } from '../../host/site/fieldNotes';
import { knownKeys } from '../../host/site/schema';
import { tableDocument } from '../../host/site/table/document';

const file = fileURLToPath(new URL('../../docs/site-file.md', import.meta.url));

it('docs/site-file.md matches the schema (rewrite it with WRITE_SITE_DOC=1)', () => {
  const text = `${siteDocument()}\n${tableDocument()}`;
  if (process.env.WRITE_SITE_DOC === '1') writeFileSync(file, text);
  expect(readFileSync(file, 'utf8')).toBe(text);
});

/** These are alike, and described once. */
const ALIKE: Record<string, string> = { opening: 'testWindows', 'areas.occupied': 'testWindows' };
const groups = Object.keys(knownKeys).filter((group) => !ALIKE[group]);

it('every field of the schema has a note, and no other', () => {
  for (const [other, group] of Object.entries(ALIKE)) expect(knownKeys[other]).toEqual(knownKeys[group]);
  expect(Object.keys(FIELD_NOTES).sort()).toEqual([...groups].sort());
  for (const group of groups) expect(Object.keys(FIELD_NOTES[group]), group).toEqual(knownKeys[group]);
});

it('every example is what its field takes, and says what holds only where it may be left out', () => {
  // A group or a list of groups is shown shortened; its own fields have their own examples.
  const isShortened = (example: string) =>
    example.includes('luminaires: []') || example === '{ every: month }';
  const isGroups = (group: string, field: string) => `${group}.${field}` === 'circuits.luminaires';
  for (const group of groups)
    for (const [field, { example, otherwise }] of Object.entries(FIELD_NOTES[group])) {
      const schema = fieldIn(group, field);
      const name = `${group}.${field}`;
      expect(otherwise !== undefined, name).toBe(schema instanceof z.ZodOptional);
      if (!isShortened(example) && !isGroups(group, field))
        expect(schema.safeParse(parse(example)).error?.message, `${name}: ${example}`).toBeUndefined();
    }
});
