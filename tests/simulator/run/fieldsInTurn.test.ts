import fc from 'fast-check';
import { expect, it } from 'vitest';
import { FieldsInTurn } from '../../../simulator/run/fieldsInTurn';

const NAMES = ['seq', 'kind', 'utc', 'prev', 'end'];
const value = fc.oneof(fc.nat(), fc.constant(2 ** 48), fc.stringMatching(/^[a-z0-9 ,:{}-]{0,12}$/));

it('reads what JSON.parse reads, in turn and out of turn', () => {
  const order = fc.array(fc.constantFrom(...NAMES), { maxLength: 12 });
  fc.assert(
    fc.property(fc.tuple(value, value, value, value, value), order, (values, asked) => {
      const all: Record<string, string | number> = Object.fromEntries(
        NAMES.map((name, i) => [name, values[i]]),
      );
      const fields = new FieldsInTurn(JSON.stringify(all));
      for (const name of asked) {
        const is = all[name];
        expect(typeof is === 'number' ? fields.int(name) : fields.text(name)).toBe(is);
      }
    }),
  );
});

it('gives 0 or nothing for what is absent or of another type, and reads on', () => {
  const fields = new FieldsInTurn('{"a":"5","b":7,"c":"open');
  expect([fields.int('a'), fields.text('b'), fields.text('c'), fields.int('d'), fields.text('d')]).toEqual([
    ...[0, '', '', 0, ''],
  ]);
  expect([fields.text('a'), fields.int('b')]).toEqual(['5', 7]);
});
