// A change as the single steps it takes in the file: what names a thing by its id must follow when the id changes or
// the thing goes.
import type { Path } from '../note';
import { knownKeys } from '../schema';
import type { Change, Part } from './change';
import { type Item, isSame, pathOf, Refusal, type SiteData, valueAt } from './data';

/** One step: a value at a path, put there or taken away; `append` adds to the list at the path. */
export type Step =
  | { do: 'put'; path: Path; value: unknown }
  | { do: 'append'; path: Path; value: unknown }
  | { do: 'drop'; path: Path };

const isGroup = (value: unknown): value is Item =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

/** From one list to another, item by item, so that the comments at the others stay. */
function listSteps(path: Path, before: unknown[], value: unknown[]): Step[] {
  const common = Math.min(before.length, value.length);
  const steps = value.slice(0, common).flatMap((item, i) => putSteps([...path, i], before[i], item));
  for (let i = before.length - 1; i >= common; i--) steps.push({ do: 'drop', path: [...path, i] });
  for (const item of value.slice(common)) steps.push({ do: 'append', path, value: item });
  return steps;
}

/** From one value to another, in the smallest pieces. */
function putSteps(path: Path, before: unknown, value: unknown): Step[] {
  if (isSame(before, value)) return [];
  const isMany = (one: unknown): one is unknown[] => Array.isArray(one) && one.length > 0;
  if (isMany(before) && isMany(value)) return listSteps(path, before, value);
  if (!isGroup(before) || !isGroup(value) || Object.keys(value).length === 0)
    return [{ do: 'put', path, value }];
  const gone = Object.keys(before).filter((key) => !Object.hasOwn(value, key));
  return [
    ...Object.keys(value).flatMap((key) => putSteps([...path, key], before[key], value[key])),
    ...gone.map((key): Step => ({ do: 'drop', path: [...path, key] })),
  ];
}

function setSteps(data: SiteData, change: Change & { do: 'set' }): Step[] {
  const { part, id, field, value } = change;
  const path = [...(part === 'site' ? [] : pathOf(data, part, id)), field];
  const before = valueAt(data, path);
  if (value === null || value === undefined) return before === undefined ? [] : [{ do: 'drop', path }];
  if (field === 'id' && before !== undefined)
    throw new Refusal('An id is changed by a change of its own, because other fields name it.');
  return putSteps(path, before, value);
}

/** Every place that names a thing by its id: the field, or the item of a list. */
function namings(data: SiteData, part: Part, id: string): Path[] {
  const found: Path[] = [];
  const field = (path: Path) => {
    const value = valueAt(data, path);
    if (value === id) found.push(path);
    if (Array.isArray(value))
      for (const [i, one] of value.entries()) if (one === id) found.push([...path, i]);
  };
  data.areas.forEach((_, i) => {
    if (part === 'floors') field(['areas', i, 'floor']);
    if (part === 'areas') field(['areas', i, 'adjacent']);
  });
  data.circuits.forEach(({ luminaires }, i) => {
    if (part === 'floors') field(['circuits', i, 'floor']);
    if (part === 'areas')
      luminaires.forEach((_, j) => {
        for (const name of ['area', 'serves']) field(['circuits', i, 'luminaires', j, name]);
      });
  });
  const plans = valueAt(data, ['floorPlans']);
  if (Array.isArray(plans))
    for (const i of plans.keys()) {
      if (part === 'floors') field(['floorPlans', i, 'floor']);
      if (part === 'areas') field(['floorPlans', i, 'areas']);
    }
  const faults = valueAt(data, ['simulation', 'faults']);
  if (Array.isArray(faults) && (part === 'luminaires' || part === 'circuits'))
    for (const i of faults.keys())
      field(['simulation', 'faults', i, part === 'circuits' ? 'circuit' : 'luminaire']);
  return found;
}

function renameSteps(data: SiteData, { part, id, to }: Change & { do: 'rename' }): Step[] {
  const path = pathOf(data, part, id);
  if (to === id) return [];
  const steps: Step[] = [{ do: 'put', path: [...path, 'id'], value: to }];
  for (const naming of namings(data, part, id)) steps.push({ do: 'put', path: naming, value: to });
  if (part !== 'luminaires') return steps;
  // Its results are found by its former ids.
  const lamp = valueAt(data, path) as Item;
  const formerly = Array.isArray(lamp.formerly) ? (lamp.formerly as unknown[]) : [];
  const kept = [...formerly.filter((one) => one !== to), id];
  return [...steps, ...putSteps([...path, 'formerly'], lamp.formerly, kept)];
}

/** Removes an item; a list that may not be empty goes with its last one. */
function dropOf(data: SiteData, path: Path): Step {
  const list = path.slice(0, -1);
  const isLast = (valueAt(data, list) as unknown[]).length === 1;
  return { do: 'drop', path: isLast && list[list.length - 1] !== 'faults' ? list : path };
}

/** What only names a thing that goes: a fault planted in it, a neighbour. What needs the thing is left to the checks. */
function removeSteps(data: SiteData, { part, id }: Change & { do: 'remove' }): Step[] {
  const path = pathOf(data, part, id);
  const lamps = part === 'circuits' ? (valueAt(data, [...path, 'luminaires']) as Item[]) : [];
  const faults = [
    ...namings(data, part, id),
    ...lamps.flatMap((lamp) => namings(data, 'luminaires', String(lamp.id))),
  ]
    .filter(([first]) => first === 'simulation')
    .map((naming) => naming.slice(0, -1))
    .sort((a, b) => Number(b[2]) - Number(a[2]));
  const neighbours = namings(data, part, id).filter((naming) => naming[2] === 'adjacent');
  return [
    ...faults.map((fault): Step => ({ do: 'drop', path: fault })),
    ...neighbours.map((naming) => dropOf(data, naming)),
    { do: 'drop', path },
  ];
}

/** Fields that a luminaire may leave to its circuit: about itself, and about a current module of its own. */
const LEFT_TO_CIRCUIT = ['ratedMinutes', 'chemistry', 'batteryFitted', 'celsius'];
const LEFT_ON_BUS = ['register', 'milliampsPerCount'];

/** What the file says of a luminaire, of its circuit and of another, and what it may leave to them. */
function leftTo(
  data: SiteData,
  id: string,
  to: string,
): { own: Item; from: Item; next: Item; fields: string[] } {
  const [list, i, ...lamp] = pathOf(data, 'luminaires', id);
  const own = valueAt(data, [list, i, ...lamp]) as Item;
  const from = valueAt(data, [list, i]) as Item;
  const next = valueAt(data, pathOf(data, 'circuits', to)) as Item;
  const fields = own.module === undefined ? LEFT_TO_CIRCUIT : [...LEFT_TO_CIRCUIT, ...LEFT_ON_BUS];
  return { own, from, next, fields };
}

/** What a luminaire has from its circuit and would have otherwise in another: the luminaire itself stays the same. */
export function takenAlong(data: SiteData, id: string, to: string): Item {
  const { own, from, next, fields } = leftTo(data, id, to);
  const taken = fields.filter(
    (field) => own[field] === undefined && from[field] !== undefined && !isSame(from[field], next[field]),
  );
  return Object.fromEntries(taken.map((field) => [field, from[field]]));
}

/** What nobody said of a luminaire and another circuit says for all of its own: from then on it holds for it too. */
export function takenOver(data: SiteData, id: string, to: string): Item {
  const { own, from, next, fields } = leftTo(data, id, to);
  const taken = fields.filter(
    (field) => own[field] === undefined && from[field] === undefined && next[field] !== undefined,
  );
  return Object.fromEntries(taken.map((field) => [field, next[field]]));
}

function moveSteps(data: SiteData, { id, to }: Change & { do: 'move' }): Step[] {
  const path = pathOf(data, 'luminaires', id);
  const target = pathOf(data, 'circuits', to);
  if (target[1] === path[1]) return [];
  const item = { ...(valueAt(data, path) as Item), ...takenAlong(data, id, to) };
  const order = knownKeys['circuits.luminaires'];
  const fields = Object.entries(item).sort(([a], [b]) => order.indexOf(a) - order.indexOf(b));
  return [
    { do: 'append', path: [...target, 'luminaires'], value: Object.fromEntries(fields) },
    { do: 'drop', path },
  ];
}

/** The steps of one change. @throws Refusal with one sentence if what it is about is not there */
export function stepsOf(data: SiteData, change: Change): Step[] {
  switch (change.do) {
    case 'set':
      return setSteps(data, change);
    case 'rename':
      return renameSteps(data, change);
    case 'remove':
      return removeSteps(data, change);
    case 'move':
      return moveSteps(data, change);
    case 'add': {
      const { part, circuit = '', item } = change;
      const list = part === 'luminaires' ? [...pathOf(data, 'circuits', circuit), 'luminaires'] : [part];
      return [{ do: 'append', path: list, value: item }];
    }
  }
}

/** The data after a step; `data` is changed. */
export function take(data: SiteData, step: Step): void {
  const last = step.path[step.path.length - 1];
  const parent = valueAt(data, step.path.slice(0, -1)) as Record<string | number, unknown>;
  if (step.do === 'append') (valueAt(data, step.path) as unknown[]).push(structuredClone(step.value));
  else if (step.do === 'put') parent[last] = structuredClone(step.value);
  else if (Array.isArray(parent)) parent.splice(Number(last), 1);
  else delete parent[last];
}
