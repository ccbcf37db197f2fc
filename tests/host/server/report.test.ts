// Reports over HTTP, made by a process of their own from the log book that the host has open.
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it, vi } from 'vitest';
import { TestKind, Verdict } from '../../../firmware/contract/codes';
import { reportCommand } from '../../../host/cli/report';
import { keepSeededKeys, secretFileOf } from '../../../host/keys';
import { type Served, serve } from '../../../host/serve/serve';
import { listFirst } from '../house/bench';
import { HOUSE } from '../house/site';
import { KEYS, newJournal, resultFields } from '../logbook/records';

const NOW = 1_780_000_000;
const ASKED = '/api/report?from=2026-02-01&to=2026-05-28';

let folder: string;
let host: Served;
let db: string;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-reports-'));
  db = join(folder, 'log.db');
  // Other tests make reports at the same time.
  vi.stubEnv('TMPDIR', folder);
  keepSeededKeys(secretFileOf(db), 1);
  host = await serve({
    ...{ site: HOUSE, siteFile: 'house.yaml', db, port: 0, brokerPort: 0, quiet: true },
    ...{ keys: KEYS, clock: { nowMs: () => NOW * 1000 } },
  });
  await listFirst(host.logbook, HOUSE);
  const [a, b] = ['demo/a', 'demo/b'].map((address) => newJournal(address));
  const row = [Verdict.Pass, 0, 90, 300, 300, 290, 0];
  const result = (count: number) => resultFields(Array(count).fill(row), { type: TestKind.Brief });
  await host.logbook.appendBatch([a.record('result', result(2)), b.record('result', result(1))]);
});
afterAll(async () => {
  await host?.stop();
  vi.unstubAllEnvs();
  rmSync(folder, { recursive: true, force: true });
});

const get = (path: string) => fetch(host.url + path);

it('are the files that the command writes, one at a time, while the host goes on answering', async () => {
  const [made, second, status] = await Promise.all([get(ASKED), get(ASKED), get('/api/status')]);
  expect(status.status).toBe(200);
  expect([made.status, second.status].sort()).toEqual([200, 503]);
  const pdf = made.status === 200 ? made : second;
  expect(pdf.headers.get('content-disposition')).toBe(
    'attachment; filename="emergency-lighting-demo-2026-02-01-2026-05-28.pdf"',
  );
  const bytes = Buffer.from(await pdf.arrayBuffer());
  expect(bytes.subarray(0, 8).toString()).toBe('%PDF-1.7');
  expect(bytes.subarray(-6).toString()).toBe('%%EOF\n');
  const table = await (await get(`${ASKED}&format=csv`)).text();
  const csv = join(folder, 'results.csv');
  await reportCommand({ site: HOUSE, db, from: '2026-02-01', to: '2026-05-28', csv, paper: 'a4' });
  expect(`\uFEFF${table}`.replace('\uFEFF\uFEFF', '\uFEFF')).toBe(readFileSync(csv, 'utf8'));
  expect(table.match(/,pass,/g)).toHaveLength(3);
});

it('leave nothing behind on the disk', async () => {
  const before = readdirSync(folder).filter((name) => !name.endsWith('.csv'));
  await (await get(`${ASKED}&format=csv`)).text();
  await expect.poll(() => readdirSync(folder).filter((name) => !name.endsWith('.csv'))).toEqual(before);
});

it('are refused in words for dates or forms that there are not', async () => {
  for (const [path, answer] of [
    ['/api/report?from=2026-02-30&to=2026-03-01', 'real date'],
    ['/api/report?from=2026-02-01&to=2026-01-01', 'not before the first'],
    ['/api/report?from=2026-02-01', 'takes from and to'],
    [`${ASKED}&format=doc`, 'takes from and to'],
  ]) {
    const refused = await get(path);
    expect(refused.status).toBe(400);
    expect(((await refused.json()) as { answer: string }).answer).toContain(answer);
  }
});

it('are not made for another web page, or for nobody', async () => {
  const foreign = await fetch(host.url + ASKED, { headers: { 'sec-fetch-site': 'cross-site' } });
  expect(foreign.status).toBe(403);
  expect((await fetch(host.url + ASKED, { method: 'HEAD' })).status).toBe(403);
});
