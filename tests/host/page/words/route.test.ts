import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  circuitLink,
  dutyLink,
  floorLink,
  logLink,
  luminaireLink,
  parseRoute,
  siteLink,
} from '../../../../host/page/words/route';

test('no hash and an empty hash are the home page', () => {
  expect([parseRoute(''), parseRoute('#'), parseRoute('#/')]).toEqual(Array(3).fill({ page: 'tonight' }));
});

test('a link leads back to the page it was made from', () => {
  fc.assert(
    fc.property(fc.string({ minLength: 1 }), fc.string(), (id, kind) => {
      expect(parseRoute(circuitLink(id))).toEqual({ page: 'circuit', id });
      expect(parseRoute(luminaireLink(id))).toEqual({ page: 'luminaire', id });
      expect(parseRoute(floorLink(id, kind))).toEqual({ page: 'floor', id, luminaire: kind });
      expect(parseRoute(dutyLink(id))).toEqual({ page: 'duty', id });
      expect(parseRoute(logLink(id, kind))).toEqual({ page: 'log', circuit: id, kind });
    }),
  );
});

test('the forms of the site have addresses below it, with the circuit of a new luminaire', () => {
  for (const place of [
    { part: 'site', id: '' },
    { part: 'areas', id: '' },
    { part: 'circuits', id: 'one' },
    { part: 'luminaires', id: 'A-2' },
    { part: 'luminaires', id: '', circuit: 'one' },
  ] as const)
    expect(parseRoute(siteLink(place))).toEqual({ page: 'siteForm', place });
  expect([parseRoute('#/site'), parseRoute('#/site/doors/1')]).toEqual([
    { page: 'site' },
    { page: 'unknown' },
  ]);
});

test('the year, the notice, the duties and the reports have their own addresses, with nothing below them', () => {
  expect([parseRoute('#/duties'), parseRoute('#/duties/a')]).toEqual([
    { page: 'duties' },
    { page: 'unknown' },
  ]);
  expect([parseRoute('#/reports'), parseRoute('#/reports/a')]).toEqual([
    { page: 'reports' },
    { page: 'unknown' },
  ]);
  expect([parseRoute('#/year'), parseRoute('#/notice')]).toEqual([{ page: 'year' }, { page: 'notice' }]);
  expect(parseRoute('#/year/2026').page).toBe('unknown');
});

test('a floor plan need not be named', () => {
  expect(parseRoute('#/floor')).toEqual({ page: 'floor', id: '', luminaire: '' });
  expect(parseRoute('#/floor/a/b').page).toBe('unknown');
});

test('an unknown address is reported, not a crash', () => {
  expect(parseRoute('#/circuit').page).toBe('unknown');
  expect(parseRoute('#/circuit/a/b').page).toBe('unknown');
  expect(parseRoute('#/elsewhere').page).toBe('unknown');
  expect(parseRoute('#/circuit/%E0%A4%A')).toEqual({ page: 'circuit', id: '%E0%A4%A' });
});
