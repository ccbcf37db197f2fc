import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { expect, it } from 'vitest';
import { knxDocument } from '../../../../host/integrators/knx/document';
import { pointsOf } from '../../../../host/integrators/knx/points';

const read = (name: string) =>
  readFileSync(fileURLToPath(new URL(`../../../../docs/${name}`, import.meta.url)), 'utf8');

it('docs/knx.md matches the points (rewrite it with WRITE_KNX_DOC=1)', () => {
  const file = fileURLToPath(new URL('../../../../docs/knx.md', import.meta.url));
  if (process.env.WRITE_KNX_DOC === '1') writeFileSync(file, knxDocument());
  expect(read('knx.md')).toBe(knxDocument());
});

it('the table in docs/integrators.md names every point with its type', () => {
  const rows = read('integrators.md').matchAll(
    /^\| (building|circuit|luminaire) \| (.*) \| (\d\.\d{3}) \|$/gm,
  );
  const named = [...rows].flatMap(([, what, points, type]) =>
    [...points.matchAll(/`([a-z ]+)`/g)].map(([, name]) => `${what} ${name} ${type}`),
  );
  const kinds = ['building', 'circuit', 'luminaire'] as const;
  const all = kinds.flatMap((what) => pointsOf(what).map(({ name, type }) => `${what} ${name} ${type}`));
  expect(named.sort()).toEqual(all.sort());
});
