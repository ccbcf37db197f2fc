import { expect, it } from 'vitest';
import { NOT_IN_KEY, putCore } from '../../../simulator/explore/key';
import { placesOf } from '../../../simulator/explore/shape';
import { newBoard, planTimes, type WorldOptions } from '../../../simulator/explore/small';
import { Frontier } from '../../../simulator/explore/store';
import { subject } from '../../../simulator/explore/subject';
import { NOT_SAVED, newWorld, shapesOf, type World } from '../../../simulator/explore/world';

const options: WorldOptions = {
  plan: 'both',
  disturbances: 1,
  shared: false,
  foreign: false,
  bare: false,
  theme: 'all',
  pauseSec: 0,
};

function fresh(): World {
  return newWorld(newBoard(subject, options), planTimes('both'), 1);
}

/** Gives every number in use a value of its own. */
function scramble(object: object, next: () => number): void {
  const fields = object as Record<string, unknown>;
  for (const [name, value] of Object.entries(fields)) {
    if (NOT_SAVED.includes(name) || name === 'times' || name === 'slotCount') continue;
    if (typeof value === 'number') fields[name] = next();
    else if (ArrayBuffer.isView(value)) {
      const array = value as unknown as number[];
      const length = name === 'slotState' ? 2 : array.length % 16 === 0 ? array.length / 8 : array.length;
      for (let i = 0; i < length; i++) array[i] = next();
    } else if (name === 'in' || name === 'core') scramble(value as object, next);
  }
}

it('brings back every number of a world, and the texts that wait', () => {
  const world = fresh();
  let value = 2;
  scramble(world, () => (value = value >= 120 ? 2 : value + 1));
  world.core.utcBase = 1767700800250;
  world.core.doorLow[1] = -1073741824;
  world.core.quick[0] = 32767;
  world.core.outCount = 2;
  world.core.out = ['one', 'two'];
  world.journal = ['three'];
  const kept = JSON.stringify(world);
  const pile = new Frontier(shapesOf(fresh()));
  for (let i = 0; i < 200; i++) pile.push(world);
  const other = fresh();
  pile.pop(other);
  expect(JSON.parse(JSON.stringify(other))).toEqual(JSON.parse(kept));
  expect(pile.size).toBe(199);
});

it('distinguishes worlds by every field of the core except those named as irrelevant', () => {
  const core = newBoard(subject, options);
  const read = new Set<string>();
  const seen = new Proxy(core, {
    get(target, name) {
      read.add(String(name));
      return Reflect.get(target, name) as unknown;
    },
  });
  for (const phase of [0, 3, 4, 8, 9]) {
    core.phase = phase;
    core.drive = 1;
    core.outCount = 0;
    core.exercisesLeft = 1;
    core.supplyDips = 1;
    putCore(seen, 1000);
  }
  const all = placesOf(core, ['set', 'slots', 'in'], 1, 1).map((place) => place.slice(1).replace(/\[.*/, ''));
  const missing = [...new Set(all)].filter((name) => !read.has(name) && !NOT_IN_KEY.includes(name));
  expect(missing, 'decide for simulator/explore/key.ts whether it can matter').toEqual([]);
  for (const name of NOT_IN_KEY) expect(core, name).toHaveProperty(name);
});
