import { expect, it } from 'vitest';
import { isThisMachine } from '../../host/loopback';

it('takes for this machine only what nobody else can reach', () => {
  expect(['127.0.0.1', '127.8.0.1', '::1', '[::1]', 'localhost'].map(isThisMachine)).toEqual(
    Array(5).fill(true),
  );
  const open = [
    '0.0.0.0',
    '::',
    '192.0.2.7',
    'localhost.example.org',
    '1270.0.0.1',
    '127.0.0.1.example.org',
    '',
  ];
  expect(open.map(isThisMachine)).toEqual(Array(7).fill(false));
});
