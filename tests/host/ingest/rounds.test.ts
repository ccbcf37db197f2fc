import { expect, it } from 'vitest';
import { isWhole } from '../../support/depth';
import { playRounds } from './rounds';

/** All 500 take some ten minutes: node --import tsx tests/host/ingest/playRounds.ts 500 */
const ROUNDS = isWhole ? 40 : 10;

it('loses and doubles no acknowledged record when host, disk and files fail round after round', async () => {
  const report = await playRounds(ROUNDS, isWhole ? 2 : 1);
  expect(report.lost).toBe(0);
  expect(report.entries).toBe(report.acknowledged);
  expect(report.verification).toMatchObject({ valid: true, entries: report.acknowledged });
  // One number, two texts: nothing was kept apart.
  expect(report.kept).toBe(0);
  // The misfortunes were real ones.
  expect(report.sectorsLost).toBeGreaterThan(0);
  expect(Object.keys(report.what).join()).toMatch(/removed/);
});
