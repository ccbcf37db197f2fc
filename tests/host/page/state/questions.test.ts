// What a page shows while the host answers slowly.
import { expect, it } from 'vitest';
import { Questions } from '../../../../host/page/state/questions';

/** A host that answers when it is told to. */
function slowHost() {
  const open: { resolve(value: string): void; reject(error: Error): void }[] = [];
  const shown: string[] = [];
  const questions = new Questions(
    () => new Promise<string>((resolve, reject) => open.push({ resolve, reject })),
    { take: (value) => shown.push(value), failed: ({ message }) => shown.push(message) },
  );
  const settle = () => new Promise<void>((resolve) => setImmediate(resolve));
  return { open, shown, questions, settle };
}

it('takes each answer, however much news comes meanwhile, and asks once more after it', async () => {
  const { open, shown, questions, settle } = slowHost();
  for (let news = 0; news < 5; news++) void questions.again();
  expect(open).toHaveLength(1);
  open[0].resolve('open');
  await settle();
  expect(shown).toEqual(['open']);
  expect(open).toHaveLength(2);
  open[1].resolve('repaired');
  await settle();
  expect(shown).toEqual(['open', 'repaired']);
  expect(open).toHaveLength(2);
});

it('asks again after a question that failed, and takes nothing once it was left', async () => {
  const { open, shown, questions, settle } = slowHost();
  void questions.again();
  open[0].reject(new Error('silent'));
  await settle();
  void questions.again();
  questions.leave();
  open[1].resolve('too late');
  await settle();
  expect(shown).toEqual(['silent']);
});
