// The fields of the site file as a person fills them in, and as the file has them.
import type { Change, FormField, Item, SiteFileData, SiteMistake } from '../../api/site';
import { capital } from '../../words/capital';
import { t } from '../tongues/tongue';
import { hostWords } from './hostWords';

/** Hours as they are filled in. */
export interface HoursRow {
  days: string[];
  from: string;
  to: string;
}

/** What stands in a field: a text, marked days or areas, rows of hours (null: not said), or a group. */
export type Value = string | string[] | HoursRow[] | null | { [name: string]: Value };
export type Values = Record<string, Value>;

const texts = (raw: unknown): string[] => (Array.isArray(raw) ? raw.map(String) : []);

/** What stands in a field for what the file says. */
export function standing(field: FormField, raw: unknown): Value {
  switch (field.kind) {
    case 'group':
      return valuesOf(field.fields ?? [], (raw as Item | undefined) ?? {});
    case 'days':
    case 'areas':
      return texts(raw);
    case 'hours':
      return Array.isArray(raw) ? structuredClone(raw as HoursRow[]) : null;
    case 'dates':
      return texts(raw).join('\n');
    case 'yes or no':
      return raw === true ? 'yes' : raw === false ? 'no' : '';
    default:
      return raw === undefined || raw === null ? '' : String(raw);
  }
}

export function valuesOf(fields: readonly FormField[], item: Item): Values {
  return Object.fromEntries(fields.map((field) => [field.name, standing(field, item[field.name])]));
}

/** A number as typed; the text itself where it is none, for the host to say so. */
function numberOf(text: string): unknown {
  return /^-?\d+(\.\d+)?$/.test(text) ? Number(text) : text;
}

function rawOfText({ kind }: FormField, text: string): unknown {
  if (text === '') return null;
  if (kind === 'number') return numberOf(text);
  if (kind === 'yes or no') return text === 'yes';
  return kind === 'dates' ? text.split(/[\s,;]+/).filter((one) => one !== '') : text;
}

/** What the file is to say for what stands in a field; null: nothing. */
export function rawOf(field: FormField, value: Value): unknown {
  if (value === null) return null;
  if (typeof value === 'string') return rawOfText(field, value.trim());
  if (Array.isArray(value)) return value.length === 0 && field.kind !== 'hours' ? null : value;
  const parts = (field.fields ?? []).map((one) => [one.name, rawOf(one, value[one.name])] as const);
  const said = parts.filter(([, raw]) => raw !== null);
  return said.length === 0 ? null : Object.fromEntries(said);
}

const isSame = (a: unknown, b: unknown): boolean => JSON.stringify(a) === JSON.stringify(b);

/** Which thing a form is about; `circuit` for a new luminaire. */
export interface FormPlace {
  part: SiteMistake['part'];
  /** '' for the site, and for a new thing. */
  id: string;
  circuit?: string;
}

/** The circuit a luminaire is in: in the file it stands in the list of that circuit. */
export const CIRCUIT: FormField = {
  ...{ name: 'circuit', label: '', kind: 'circuit' },
  ...{ accepts: '', example: '', otherwise: '', more: '' },
};

/** The fields of a form. */
export function fieldsOf({ part }: FormPlace, fields: readonly FormField[]): readonly FormField[] {
  return part === 'luminaires' ? [...fields.slice(0, 1), CIRCUIT, ...fields.slice(1)] : fields;
}

/** A new thing as it goes to the file. */
function newItem(fields: readonly FormField[], values: Values): Item {
  const said = fields.map((field) => [field.name, rawOf(field, values[field.name])] as const);
  return Object.fromEntries(said.filter(([, raw]) => raw !== null));
}

/** The changes from what stood in a form to what stands there now: another circuit, and then a new id, last. */
export function changesOf(
  { part, id }: FormPlace,
  fields: readonly FormField[],
  before: Values,
  now: Values,
): Change[] {
  if (part !== 'site' && id === '') {
    const { circuit, ...item } = newItem(fields, now);
    if (part === 'luminaires') return [{ do: 'add', part, circuit: String(circuit ?? ''), item }];
    return [{ do: 'add', part, item: part === 'circuits' ? { ...item, luminaires: [] } : item }];
  }
  const changed = fields
    .map((field) => ({
      name: field.name,
      was: rawOf(field, before[field.name]),
      is: rawOf(field, now[field.name]),
    }))
    .filter(({ was, is }) => !isSame(was, is));
  const sets = changed
    .filter(({ name }) => name !== 'id' && name !== CIRCUIT.name)
    .map(({ name, is }): Change => ({ do: 'set', part, id, field: name, value: is }));
  const newOf = (field: string) => changed.find(({ name }) => name === field);
  const [home, to] = [newOf(CIRCUIT.name), newOf('id')];
  return [
    ...sets,
    ...(home && part === 'luminaires' ? [{ do: 'move', part, id, to: String(home.is) } as const] : []),
    ...(to && part !== 'site' ? [{ do: 'rename', part, id, to: String(to.is ?? '') } as const] : []),
  ];
}

/** The thing a form is about, as the file has it; {} for a new one, undefined where there is none. */
export function itemOf(data: SiteFileData, { part, id, circuit }: FormPlace): Item | undefined {
  if (part === 'site') return data;
  if (part !== 'luminaires') return id === '' ? {} : data[part].find((one) => one.id === id);
  if (id === '') return { circuit };
  const home = data.circuits.find(({ luminaires }) => luminaires.some((lamp) => lamp.id === id));
  return home && { ...home.luminaires.find((lamp) => lamp.id === id), circuit: home.id };
}

/** What speaks against a form, by field; and what is elsewhere, where other changes may mend it. */
export function sorted(
  mistakes: readonly SiteMistake[],
  place: FormPlace,
  fields: readonly FormField[],
  now: Values,
): { here: Record<string, string>; elsewhere: SiteMistake[] } {
  const typed = typeof now.id === 'string' ? now.id.trim() : '';
  const ids = place.part === 'site' ? [''] : [place.id, typed];
  const isHere = (one: SiteMistake) =>
    one.part === place.part && ids.includes(one.id) && fields.some(({ name }) => name === one.field);
  const here: Record<string, string> = {};
  for (const one of mistakes) if (isHere(one)) here[one.field] ??= one.message;
  return { here, elsewhere: mistakes.filter((one) => !isHere(one)) };
}

/** What a field is, before what may be written: its label says that beside it. */
const MEANING =
  /must be .+? (?:as YYYY-MM-DD, a (?=real date)|(?=a (?:whole )?number|one of: |\d+ to \d+ characters))/;

/** What is wrong with a field, as it stands at it: in another language without the English words for the field. */
export function mistakeAt(message: string): string {
  const bare = message
    .replace(MEANING, (found) => (found.includes('YYYY') ? 'must be a ' : 'must be '))
    .replace(/real date(?=,|\.)/, 'real date, YYYY-MM-DD')
    .replace(/, e\.g\. "[^"]*"/, '');
  return hostWords(bare) === bare ? message : bare;
}

/** Kinds whose first choice says what holds without one; hours say it beside their buttons. */
const SELF_SAID: readonly FormField['kind'][] = ['choice', 'yes or no', 'floor', 'area', 'hours'];

/** What stands beside a field. */
export function labelOf({ kind, label }: FormField): string {
  return kind === 'circuit' ? t.site.field.circuit : hostWords(label);
}

/** What holds where a field is left empty. */
export function otherwiseOf({ kind, otherwise }: FormField): string {
  return kind === 'yes or no' && otherwise === 'no' ? t.site.field.no.toLowerCase() : hostWords(otherwise);
}

/** What is said under a field before anything is wrong: range, example, meaning, and what holds if it is left empty. */
export function hintOf(field: FormField): string {
  const { kind, name, accepts, example, more } = field;
  const words = t.site.field;
  const isTyped = kind === 'number' || name === 'id';
  const typed = kind === 'dates' ? words.dates : isTyped ? `${capital(hostWords(accepts))}.` : '';
  const shown = kind === 'text' && name !== 'id' ? words.example(example) : '';
  const isNamed = kind === 'floor' || kind === 'area';
  const about = isNamed ? '' : hostWords(more.replace(/[^.?!]$/, '$&.'));
  const otherwise = otherwiseOf(field);
  const left = kind === 'days' || kind === 'areas' ? words.unmarked : words.empty;
  const empty = otherwise === '' || SELF_SAID.includes(kind) ? '' : left(otherwise);
  return [typed, shown, about, empty].filter((one) => one !== '').join(' ');
}
