// What the page says of the site, and of changing it.

import type { Change, FormField, Item, SiteFileData, TakingView } from '../../api/site';
import { t } from '../tongues/tongue';
import { hostWords } from './hostWords';
import type { FormPlace } from './siteForm';

/** Heading of a form. */
export function formTitle({ part, id, circuit = '' }: FormPlace): string {
  if (part === 'site') return t.site.rules;
  if (id !== '') return t.site.change[part](id);
  return circuit === '' ? t.site.add[part] : t.site.addIn(circuit);
}

/** What people must know before they change a thing. */
export function formCaution({ part, id }: FormPlace): string {
  const { data, rules, luminaire, newLuminaire, circuit, newCircuit } = t.site.caution;
  const isNew = id === '';
  if (part === 'luminaires') return [data, luminaire, ...(isNew ? [newLuminaire] : [])].join(' ');
  if (part === 'circuits') return `${data} ${isNew ? newCircuit : circuit}`;
  return part === 'site' ? rules : data;
}

/** Luminaires behind one in its circuit, which move up to other sensor inputs when it goes; on a bus none does. */
export function movedUp(data: SiteFileData, id: string): string[] {
  const circuit = data.circuits.find(({ luminaires }) => luminaires.some((lamp) => lamp.id === id));
  if (!circuit || circuit.luminaires.some((lamp) => lamp.module !== undefined)) return [];
  const at = circuit.luminaires.findIndex((lamp) => lamp.id === id);
  return circuit.luminaires.slice(at + 1).map((lamp) => String(lamp.id));
}

/** A sentence on those that move up, in a list; none if none does. */
function movedUpWords(behind: readonly string[]): string[] {
  return behind.length === 0 ? [] : [t.site.move.up(behind.join(', '))];
}

/** What another circuit means for a luminaire; '' for the one it is in. */
export function moveWords(data: SiteFileData, id: string, to: string): string {
  const home = data.circuits.find(({ luminaires }) => luminaires.some((lamp) => lamp.id === id));
  const next = data.circuits.find((circuit) => circuit.id === to);
  if (!home || !next || home === next) return '';
  const { only, module, input, along } = t.site.move;
  const isOnBus = next.luminaires.some((lamp) => lamp.module !== undefined);
  const read = isOnBus ? module(to) : input(to, next.luminaires.length + 1);
  return [t.site.caution.data, only(id, to), read, ...movedUpWords(movedUp(data, id)), along].join(' ');
}

/** What removing a thing means, asked once. */
export function removeWords(data: SiteFileData, { part, id }: FormPlace): string {
  if (part === 'site') return '';
  const behind = part === 'luminaires' ? movedUp(data, id) : [];
  return [t.site.remove[part](id), ...movedUpWords(behind)].join(' ');
}

/** A change that is kept until others make it whole. */
export function changeWords(change: Change): string {
  const { did, thing } = t.site;
  const id = change.do === 'add' ? String(change.item.id ?? '') : change.id;
  const what = change.part === 'site' ? thing.site : thing[change.part](id);
  if (change.do === 'add') return did.added(what);
  if (change.do === 'remove') return did.removed(what);
  if (change.do === 'move') return did.moved(what, change.to);
  return change.do === 'rename' ? did.renamed(what, change.to) : did.changed(what, change.field);
}

/** What becomes of changes that are kept. @param isStale the file was changed since they were made */
export function keptWords(isStale: boolean): string {
  return isStale ? t.site.kept.stale : t.site.kept.fresh;
}

/** A change that the host does not work with yet. */
export function takingWords({ percent, waits }: TakingView): string {
  if (waits !== '') return t.site.waiting(hostWords(`${waits}.`).replace(/\.$/, ''));
  return percent < 100 ? t.site.reading(percent) : t.site.taking;
}

/** A circuit in one line. */
export function circuitWords({ luminaires, name }: SiteFileData['circuits'][number]): string {
  return t.site.circuitLine(String(name), luminaires.length);
}

const DAYS = ['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'];
/** Some Monday. */
const MONDAY = Date.UTC(2024, 0, 1);
const DAY_MS = 86_400_000;

/** Days as the file has them, and their short names in the language of the page. */
export function dayNames(): [string, string][] {
  const format = new Intl.DateTimeFormat(t.locale, { weekday: 'short', timeZone: 'UTC' });
  return DAYS.map((day, i) => [day, format.format(MONDAY + i * DAY_MS)]);
}

/** Hours in one line: "Mon, Tue 00:30–05:30". */
function hoursWords(raw: unknown): string {
  if (!Array.isArray(raw) || raw.length === 0) return t.site.field.never;
  const line = ({ days, from, to }: Item) => {
    const named = dayNames().filter(([day]) => (days as string[]).includes(day));
    const when =
      named.length === DAYS.length ? t.site.field.everyDay : named.map(([, name]) => name).join(', ');
    return `${when} ${String(from)}–${String(to)}`;
  };
  return (raw as Item[]).map(line).join('; ');
}

/** A value of a choice, as the page shows it. */
export function optionWords(value: string): string {
  const known = { ...t.site.options, ...t.modes } as Record<string, string>;
  return Object.hasOwn(known, value) ? known[value] : value;
}

/** What a field says now, in one line; '' where it says nothing. */
export function saidNow({ kind, fields = [] }: FormField, raw: unknown): string {
  if (raw === undefined || raw === null) return '';
  if (kind === 'hours') return hoursWords(raw);
  if (kind === 'days' && Array.isArray(raw))
    return dayNames()
      .filter(([day]) => raw.includes(day))
      .map(([, name]) => name)
      .join(', ');
  if (Array.isArray(raw)) return raw.join(', ');
  if (kind === 'yes or no') return raw === true ? t.site.field.yes : t.site.field.no;
  if (typeof raw !== 'object') return optionWords(String(raw));
  const said = raw as Item;
  return fields
    .filter(({ name }) => said[name] !== undefined)
    .map(({ name, label }) => `${hostWords(label)}: ${String(said[name])}`)
    .join('; ');
}
