import { expect, it, vi } from 'vitest';
import { openLogbook } from '../../../host/logbook/engines/open';
import { loadMemory } from '../../../host/logbook/memory';

it('is there at once, and durable when it says so', async () => {
  const { memory: store } = await openLogbook(':memory:');
  await store.remember('plan', 'one');
  const memory = await loadMemory(store, (sentence) => expect.fail(sentence));
  expect([memory.recall('plan'), memory.recall('heard')]).toEqual(['one', '']);
  for (const text of ['two', 'three']) memory.remember('plan', text);
  expect(memory.recall('plan')).toBe('three');
  await memory.written();
  expect((await store.all()).get('plan')).toBe('three');
});

it('no longer holds a text that was taken, or only put into the log book', async () => {
  const { memory: store } = await openLogbook(':memory:');
  await store.remember('past', 'long');
  const memory = await loadMemory(store, (sentence) => expect.fail(sentence));
  expect([memory.take('past'), memory.recall('past')]).toEqual(['long', '']);
  memory.put('past', 'longer');
  await memory.written();
  expect([memory.recall('past'), (await store.all()).get('past')]).toEqual(['', 'longer']);
});

it('reports what could not be written, and keeps it all the same', async () => {
  const logbook = await openLogbook(':memory:', { pagesMax: 40 });
  const said: string[] = [];
  const memory = await loadMemory(logbook.memory, (sentence) => said.push(sentence));
  const text = 'x'.repeat(1_000_000);
  memory.remember('plan', text);
  await memory.written();
  expect(said).toEqual([expect.stringMatching(/^The disk of the log book .* is full\. .*\.$/)]);
  expect(memory.recall('plan')).toBe(text);
  await logbook.close();
});

it('writes what is stored in one go at once, and without what has no room', async () => {
  const logbook = await openLogbook(':memory:', { pagesMax: 40 });
  const { memory: store } = logbook;
  const rememberAll = vi.spyOn(store, 'rememberAll');
  const said: string[] = [];
  const memory = await loadMemory(store, (sentence) => said.push(sentence));
  for (const name of ['a', 'b', 'c']) memory.remember(name, name);
  await memory.written();
  expect(rememberAll).toHaveBeenCalledTimes(1);
  memory.remember('a', 'new');
  memory.remember('plan', 'x'.repeat(1_000_000));
  memory.remember('b', 'new');
  await memory.written();
  expect(said).toHaveLength(1);
  const stored = await store.all();
  expect(['a', 'b', 'c', 'plan'].map((name) => stored.get(name))).toEqual(['new', 'new', 'c', undefined]);
  await logbook.close();
});
