// A log book of simulated controllers must never pass for that of a building, whichever way it went.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it, vi } from 'vitest';
import { defectsCommand } from '../../../host/cli/defects';
import { dutiesCommand } from '../../../host/cli/duties';
import { writeReport } from '../../../host/cli/report';
import { simulate } from '../../../host/cli/simulate';
import { keepSeededKeys, secretFileOf } from '../../../host/keys';
import { openLogbook } from '../../../host/logbook/engines/open';
import { copySqlite } from '../../../host/logbook/engines/sqlite/copy';
import { SIMULATED } from '../../../host/logbook/simulated';
import { periodOf } from '../../../host/report/period';
import { serve } from '../../../host/serve/serve';
import { HOUSE } from '../house/site';

const SEED = 3;

let folder: string;
const named = (name: string): string => {
  const db = join(folder, name);
  keepSeededKeys(secretFileOf(db), SEED);
  return db;
};
const told = (db: string) =>
  writeReport({
    site: HOUSE,
    paper: 'a4',
    db,
    period: periodOf(HOUSE, '2026-01-01', '2026-12-31'),
    now: 1_780_000_000,
    simulated: false,
  });

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-simulated-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

it('every report on it, its defects and its duties say so first, and a copy of it does', async () => {
  const db = join(folder, 'log.db');
  await simulate({ site: HOUSE, days: 1, seed: SEED, json: true, db });
  expect(await told(db)).toMatch(new RegExp(`^${SIMULATED}`));
  const said = vi.spyOn(process.stdout, 'write').mockReturnValue(true);
  await defectsCommand({ site: HOUSE, db, closed: false, json: false });
  await dutiesCommand(HOUSE, db, false);
  await defectsCommand({ site: HOUSE, db, closed: false, json: true });
  await dutiesCommand(HOUSE, db, true);
  const texts = said.mock.calls.map(([text]) => String(text));
  said.mockRestore();
  expect(texts.slice(0, 2).map((text) => text.split('\n')[0])).toEqual([SIMULATED, SIMULATED]);
  expect(texts.slice(2).map((text) => JSON.parse(text).simulated)).toEqual([true, true]);
  const copy = named('copy.db');
  copySqlite(db, copy);
  expect(await told(copy)).toMatch(new RegExp(`^${SIMULATED}`));
});

it('a host that serves it says so on every page', async () => {
  const db = join(folder, 'served.db');
  const { result } = await simulate({ site: HOUSE, days: 1, seed: SEED, json: true, db });
  expect(result).toMatchObject({ from: '2026-01-05', until: '2026-01-06' });
  expect(result.entries).toBeGreaterThan(result.recordsInLogbook);
  const place = { siteFile: 'house.yaml', port: 0, brokerPort: 0, quiet: true };
  const host = await serve({ site: HOUSE, db, ...place });
  const building = await fetch(`${host.url}/api/building`).then((answer) => answer.json());
  await host.stop();
  expect(building).toMatchObject({ simulated: true });
});

it('a report on any other does not', async () => {
  const db = named('real.db');
  await (await openLogbook(db)).close();
  expect(await told(db)).not.toContain('Simulated');
});
