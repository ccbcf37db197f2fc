import { expect, it } from 'vitest';
import { grouped } from '../../../host/cli/complaints';

const at = (line: number, field: string, message: string) => ({ file: 'mill.csv', line, field, message });

it('a mistake of a whole column is told once, beside those of single rows', () => {
  const dates = Array.from({ length: 30 }, (_, i) => at(i + 2, 'fitted', `must be a date, but is "${i}".`));
  const single = [at(5, 'battery mA', 'is empty.'), at(9, 'battery mA', 'must be whole, but is "0,3".')];
  expect(grouped([...dates, ...single].sort((a, b) => a.line - b.line))).toEqual([
    at(2, 'fitted', 'must be a date, but is "0". 30 rows, first 2, 3, 4.'),
    ...single,
  ]);
  const other = { ...dates[3], sheet: 'First' };
  expect(grouped([...dates.slice(0, 3), other])).toEqual([...dates.slice(0, 3), other]);
});
