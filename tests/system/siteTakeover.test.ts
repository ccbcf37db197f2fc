// The site is changed on a running host while simulated controllers, on its own broker, hand over weeks of records.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { LampColumn } from '../../firmware/contract/lamps';
import type { SiteFileView, SiteOutcome } from '../../host/api/site';
import { openKeys, secretFileOf } from '../../host/keys';
import { type Lasting, serveLasting } from '../../host/serve/lasting';
import { LiveFleet } from '../../simulator/live';
import { buildLodge } from './support/lodge';
import { isHandedOver } from './support/night';
import { readLines } from './support/records';
import { strandedFleet } from './support/stranded';

const DAYS = 60;
const CIRCUITS = 2;

let folder: string;
let host: Lasting | undefined;
let live: LiveFleet | undefined;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-takeover-'));
});
afterEach(async () => {
  live?.stop();
  await host?.stop();
  rmSync(folder, { recursive: true, force: true });
});

it('settings and plan of a changed site reach the controllers, and no record is lost or stored twice', async () => {
  const { site, file } = buildLodge(folder, CIRCUITS, 60);
  const db = join(folder, 'host.db');
  const fleet = strandedFleet(site, openKeys(secretFileOf(db)), DAYS);
  const clock = { nowMs: () => fleet.utcMs() };
  host = await serveLasting({ site, siteFile: file, db, port: 0, brokerPort: 0, quiet: true, clock });
  const first = host.served();
  const place = { host: '127.0.0.1', port: first.brokerPort };
  live = new LiveFleet({ fleet, broker: place, pace: 1 });
  await expect.poll(() => first.house.past.entry()).toBeGreaterThan(CIRCUITS + 5);
  const { revision } = (await (await fetch(`${first.url}/api/site`)).json()) as SiteFileView;
  const answer = await fetch(`${first.url}/api/site`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({
      ...{ revision, who: 'Ada Vail' },
      changes: [
        { do: 'set', part: 'luminaires', id: 'W1-01', field: 'batteryMilliamps', value: 177 },
        { do: 'set', part: 'site', id: '', field: 'noTestDates', value: ['2026-12-24'] },
      ],
    }),
  });
  expect((await answer.json()) as SiteOutcome).toMatchObject({ ok: true, taken: true });
  await expect.poll(() => host?.served() !== first).toBe(true);
  const { desired } = host.served().house;
  const wing = fleet.nodes.find(({ spec }) => spec.circuit === 'wing-1')!;
  await expect.poll(() => wing.controller?.core.set.revision).toBe(desired.settingsRevision('wing-1'));
  await expect.poll(() => isHandedOver(fleet.nodes)).toBe(true);
  expect(wing.controller?.core.set.lamps[LampColumn.Battery]).toBe(177);
  const plans = fleet.nodes.map(({ spec }) => desired.of(spec.circuit).plan?.revision);
  await expect.poll(() => fleet.nodes.map(({ controller }) => controller?.core.planRevision)).toEqual(plans);
  await expect.poll(() => isHandedOver(fleet.nodes)).toBe(true);
  live.stop();
  await host.stop();
  const lines = await readLines(db);
  for (const { spec, controller } of fleet.nodes) {
    const seqs = lines.filter(({ circuit }) => circuit === spec.circuit).map(({ entry }) => entry.seq);
    const all = Array.from({ length: controller?.journal.last ?? 0 }, (_, i) => i + 1);
    expect(
      seqs.sort((a, b) => a - b),
      spec.circuit,
    ).toEqual(all);
  }
});
