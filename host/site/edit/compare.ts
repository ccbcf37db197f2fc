// What is different between two states of a site file, in the words that a change on the page has in the log book.
import { type Item, isSame, ONE, type SiteData } from './data';
import { type Said, textOf } from './said';

/** Parts that are told one by one. */
const LISTS = ['floors', 'areas', 'circuits'] as const;

type Where = Pick<Said, 'what'>;

const idOf = ({ id }: Item): string => String(id);
const byId = (items: readonly Item[]): Map<string, Item> => new Map(items.map((one) => [idOf(one), one]));
const texts = (raw: unknown): string[] => (Array.isArray(raw) ? raw.map(String) : []);

/** Every field that is not the same, in the order of the file as it is now; those of `but` aside. */
function fieldsSaid({ what }: Where, before: Item, after: Item, but: readonly string[]): Said[] {
  const names = [...new Set([...Object.keys(after), ...Object.keys(before)])];
  return names
    .filter((field) => !but.includes(field) && !isSame(before[field] ?? null, after[field] ?? null))
    .map((field) => ({ what, field, from: textOf(before[field]), to: textOf(after[field]) }));
}

/** A circuit without its luminaires, which are told one by one. */
function itself({ luminaires: _luminaires, ...rest }: Item): Item {
  return rest;
}

function thingsSaid(part: (typeof LISTS)[number], before: SiteData, after: SiteData): Said[] {
  const [was, is] = [byId(before[part]), byId(after[part])];
  const nameOf = (id: string) => `${ONE[part]} ${id}`;
  const changed = [...is].flatMap(([id, item]): Said[] => {
    const old = was.get(id);
    if (!old) return [{ what: nameOf(id), field: '', from: '', to: textOf(itself(item)) }];
    return fieldsSaid({ what: nameOf(id) }, old, item, ['luminaires']);
  });
  const gone = [...was].filter(([id]) => !is.has(id));
  return [
    ...changed,
    ...gone.map(([id, item]) => ({ what: nameOf(id), field: '', from: textOf(itself(item)), to: '' })),
  ];
}

interface Placed {
  lamp: Item;
  circuit: string;
}

const lampsOf = ({ circuits }: SiteData): Map<string, Placed> =>
  new Map(
    circuits.flatMap((circuit) =>
      circuit.luminaires.map((lamp): [string, Placed] => [idOf(lamp), { lamp, circuit: idOf(circuit) }]),
    ),
  );

/** The id that a luminaire had in the file before; undefined if it was not there. */
function idBefore(lamp: Item, was: ReadonlyMap<string, Placed>, is: ReadonlyMap<string, Placed>) {
  if (was.has(idOf(lamp))) return idOf(lamp);
  return texts(lamp.formerly).findLast((id) => was.has(id) && !is.has(id));
}

function lampSaid(id: string, old: string, was: Placed, { lamp, circuit }: Placed): Said[] {
  const what = `luminaire ${id}`;
  const renamed = id === old ? [] : [{ what: `luminaire ${old}`, field: 'id', from: old, to: id }];
  const moved = circuit === was.circuit ? [] : [{ what, field: 'circuit', from: was.circuit, to: circuit }];
  // A new id leaves the old one behind.
  const kept = [...texts(was.lamp.formerly), old].filter((one) => one !== id).sort();
  const isOnlyLeft = id !== old && isSame(kept, texts(lamp.formerly).sort());
  const but = isOnlyLeft ? ['id', 'formerly'] : ['id'];
  return [...renamed, ...moved, ...fieldsSaid({ what }, was.lamp, lamp, but)];
}

/** The luminaires of a circuit that are in it before and after, by the ids they have now, in another order. */
function orderSaid(
  now: Item & { luminaires: Item[] },
  old: ReadonlyMap<string, string>,
  was: SiteData,
): Said[] {
  const before = was.circuits.find((one) => one.id === now.id)?.luminaires.map(idOf) ?? [];
  const after = now.luminaires.map(idOf).filter((id) => before.includes(old.get(id) ?? ''));
  const newIds = new Map(after.map((id) => [old.get(id), id]));
  const same = before.flatMap((id) => newIds.get(id) ?? []);
  if (isSame(same, after)) return [];
  return [{ what: `circuit ${idOf(now)}`, field: 'luminaires', from: textOf(same), to: textOf(after) }];
}

function lampsSaid(before: SiteData, after: SiteData): Said[] {
  const [was, is] = [lampsOf(before), lampsOf(after)];
  const old = new Map<string, string>();
  const changed = [...is].flatMap(([id, placed]): Said[] => {
    const known = idBefore(placed.lamp, was, is);
    if (known === undefined)
      return [
        {
          what: `luminaire ${id} in circuit ${placed.circuit}`,
          field: '',
          from: '',
          to: textOf(placed.lamp),
        },
      ];
    old.set(id, known);
    return lampSaid(id, known, was.get(known)!, placed);
  });
  const left = new Set(old.values());
  const gone = [...was].filter(([id]) => !left.has(id));
  return [
    ...changed,
    ...gone.map(([id, { lamp }]) => ({ what: `luminaire ${id}`, field: '', from: textOf(lamp), to: '' })),
    // Lamps are read in this order.
    ...after.circuits.flatMap((circuit) => orderSaid(circuit, old, before)),
  ];
}

/** What only the simulator reads says nothing of the building. */
const UNSAID = [...LISTS, 'simulation'];

/** All that is different; nothing where only comments, or the order of what has no order, are. */
export function differences(before: SiteData, after: SiteData): Said[] {
  return [
    ...fieldsSaid({ what: 'site' }, before, after, UNSAID),
    ...LISTS.flatMap((part) => thingsSaid(part, before, after)),
    ...lampsSaid(before, after),
  ];
}
