// In which order points are told, and that none is told twice at once.
import { expect, it } from 'vitest';
import { Outbox } from '../../../../host/integrators/knx/outbox';

const told = (outbox: Outbox): string[] => {
  const all: string[] = [];
  for (let one = outbox.next(); one; one = outbox.next()) all.push(`${one.verb} ${one.to} ${one.value}`);
  return all;
};

it('tells what has changed once, with its newest value', () => {
  let calls = 0;
  const outbox = new Outbox(() => calls++);
  outbox.set(1, '1.005', 0);
  outbox.set(2, '7.001', 5);
  outbox.set(1, '1.005', 1);
  expect(told(outbox)).toEqual(['write 1 1', 'write 2 5']);
  outbox.set(1, '1.005', 1);
  expect(told(outbox)).toEqual([]);
  expect(calls).toBe(3);
  outbox.tell(1, '1.005', 1);
  expect(told(outbox)).toEqual(['write 1 1']);
});

it('tells changes before answers, answers before rounds, and answers each once however often it is asked', () => {
  const outbox = new Outbox(() => {});
  for (const to of [1, 2, 3]) outbox.set(to, '1.005', 0);
  told(outbox);
  outbox.all();
  for (let n = 0; n < 1000; n++) outbox.ask(2);
  outbox.set(3, '1.005', 1);
  expect(told(outbox)).toEqual(['write 3 1', 'response 2 0', 'write 1 0', 'write 2 0']);
});

it('goes on with a round while somebody asks without end', () => {
  const outbox = new Outbox(() => {});
  for (const to of [1, 2, 3]) outbox.set(to, '1.005', 0);
  told(outbox);
  outbox.all();
  const all = Array.from({ length: 6 }, () => {
    outbox.ask(2);
    const one = outbox.next();
    return `${one?.verb} ${one?.to}`;
  });
  expect(all).toEqual(['response 2', 'write 1', 'response 2', 'write 2', 'response 2', 'write 3']);
});

it('goes on with a round that is not over, and begins anew with a new connection', () => {
  const outbox = new Outbox(() => {});
  for (const to of [1, 2, 3]) outbox.set(to, '1.005', 0);
  told(outbox);
  outbox.round();
  expect(outbox.next()?.to).toBe(1);
  outbox.round();
  expect(outbox.next()?.to).toBe(2);
  outbox.all();
  expect(told(outbox)).toEqual(['write 3 0', 'write 1 0', 'write 2 0']);
});

it('neither tells nor answers what is not known, or no longer', () => {
  const outbox = new Outbox(() => {});
  outbox.ask(1);
  outbox.set(1, '1.005', null);
  outbox.set(2, '1.005', 1);
  outbox.ask(2);
  outbox.all();
  outbox.set(2, '1.005', null);
  expect(told(outbox)).toEqual([]);
  // It has changed when it is known again, even to what it was.
  outbox.set(2, '1.005', 1);
  expect(told(outbox)).toEqual(['write 2 1']);
});

/** Tells everything to a bus that takes nothing of some. */
function tried(outbox: Outbox, deaf: number): string[] {
  const all: string[] = [];
  for (let one = outbox.next(); one && all.length < 100; one = outbox.next()) {
    all.push(`${one.verb} ${one.to} ${one.value}`);
    if (one.to === deaf) outbox.failed(one);
    else outbox.taken(one);
  }
  return all;
}

it('gives what was not taken again after the others, three times for each change and once in a round', () => {
  const outbox = new Outbox(() => {});
  for (const to of [1, 2]) outbox.set(to, '1.005', 0);
  expect(tried(outbox, 1)).toEqual(['write 1 0', 'write 2 0', 'write 1 0', 'write 1 0']);
  expect(outbox.firstStuck()).toBe(1);
  outbox.round();
  expect(tried(outbox, 1)).toEqual(['write 1 0', 'write 2 0']);
  outbox.set(1, '1.005', 1);
  expect(tried(outbox, 1)).toEqual(['write 1 1', 'write 1 1', 'write 1 1']);
  outbox.round();
  expect(tried(outbox, 0)).toEqual(['write 1 1', 'write 2 0']);
  expect(outbox.firstStuck()).toBeUndefined();
  outbox.ask(2);
  expect(tried(outbox, 2)).toEqual(['response 2 0', 'response 2 0', 'response 2 0']);
  expect(outbox.firstStuck()).toBe(2);
});

it('gives what was not taken again only while it is still so', () => {
  const outbox = new Outbox(() => {});
  outbox.set(1, '1.005', 0);
  const old = outbox.next()!;
  outbox.set(1, '1.005', 1);
  outbox.failed(old);
  expect(told(outbox)).toEqual(['write 1 1']);
  outbox.forget(1);
  outbox.failed({ ...old, value: 1 });
  outbox.putBack(old);
  expect(told(outbox)).toEqual([]);
});

it('gives what was lost with a connection first, before it tells everything again', () => {
  const outbox = new Outbox(() => {});
  for (const to of [1, 2]) outbox.set(to, '1.005', 0);
  outbox.next();
  outbox.putBack(outbox.next()!);
  outbox.all();
  expect(told(outbox)).toEqual(['write 2 0', 'write 1 0']);
});
