// The fields of the forms on the page, made from the schema and its notes, so that there is one truth about them.
import { z } from 'zod';
import type { FieldKind, FormField } from '../api/site';
import { profileNames } from '../profiles/profile';
import { fieldIn } from '../site/document';
import type { Part } from '../site/edit/change';
import { FIELD_NOTES } from '../site/fieldNotes';
import { type About, fields as known } from '../site/fields';
import { capital } from '../words/capital';
import { LABELS } from './labels';

/** Where fields name other things. */
const NAMES: Record<string, FieldKind> = { floor: 'floor', area: 'area', serves: 'areas', adjacent: 'areas' };

const bare = (schema: z.ZodType): z.ZodType =>
  schema instanceof z.ZodOptional ? (schema.unwrap() as z.ZodType) : schema;

/** Words of the reference as they stand on the page, which has its documents elsewhere. */
function plain(text: string): string {
  return text
    .replace(/:? ?\(?\[[^\]]*\]\([^)]*\)\)?/g, '')
    .replace(/`\[\]`/g, 'none')
    .replace(/[`*]/g, '');
}

function kindOf(name: string, schema: z.ZodType, { kind, options }: About): FieldKind {
  if (Object.hasOwn(NAMES, name)) return NAMES[name];
  if (kind === 'number' || kind === 'date' || kind === 'group' || kind === 'yes or no') return kind;
  if (options || name === 'profile') return 'choice';
  if (!(schema instanceof z.ZodArray)) return 'text';
  const item = known.get(schema.element as z.ZodType);
  if (item?.kind === 'date') return 'dates';
  return item?.kind === 'group' ? 'hours' : 'days';
}

/** Hours share their notes. */
const notesOf = (group: string) => FIELD_NOTES[group] ?? FIELD_NOTES.testWindows;

function formField(group: string, name: string): FormField {
  const whole = fieldIn(group, name);
  const schema = bare(whole);
  const about = known.get(schema)!;
  const { example, otherwise = '', more = '' } = notesOf(group)[name];
  const kind = kindOf(name, schema, about);
  const inside = group === '' ? name : `${group}.${name}`;
  const options = name === 'profile' ? profileNames() : about.options;
  return {
    ...{ name, label: LABELS[group][name], kind, accepts: plain(about.accepts) },
    ...{ example: plain(example).replace(/^"(.*)"$/, '$1'), more: capital(plain(more)) },
    otherwise: kind === 'yes or no' ? plain(otherwise).replace('false', 'no') : plain(otherwise),
    ...(kind === 'choice' && options && { options: [...options] }),
    ...(kind === 'group' && { fields: Object.keys(LABELS[inside]).map((one) => formField(inside, one)) }),
  };
}

const GROUPS: Record<Part | 'site', string> = {
  ...{ site: '', floors: 'floors', areas: 'areas', circuits: 'circuits' },
  luminaires: 'circuits.luminaires',
};

/** The fields of every form, in the order of the reference. */
export function formFields(): Record<Part | 'site', FormField[]> {
  const parts = Object.entries(GROUPS).map(([part, group]) => [
    part,
    Object.keys(LABELS[group]).map((name) => formField(group, name)),
  ]);
  return Object.fromEntries(parts) as Record<Part | 'site', FormField[]>;
}
