import { expect, it } from 'vitest';
import { named } from '../../../host/cli/named';

it('an id is meant in any capitals, where only one fits', () => {
  const all = [{ id: 'db1-l3' }, { id: 'Hall' }, { id: 'hall' }, { id: 'hAll' }];
  expect(named(all, 'DB1-L3')).toBe(all[0]);
  expect(named(all, 'hall')).toBe(all[2]);
  expect(named(all, 'HALL')).toBeUndefined();
  expect(named(all, 'db1')).toBeUndefined();
});
