// Reports over HTTP, made by a process of their own from the log book that the host has open.
import { type ChildProcess, fork, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  truncateSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { TestKind, Verdict } from '../../../firmware/contract/codes';
import { reportCommand } from '../../../host/cli/report';
import { keepSeededKeys, secretFileOf } from '../../../host/keys';
import { type Served, serve } from '../../../host/serve/serve';
import { type Listening, listen, urlOf } from '../../../host/server/listen';
import { reportRoutes } from '../../../host/server/reportRoutes';
import { newReportMaker, type ReportAnswer } from '../../../host/server/reports';
import { labelCodes } from '../../support/labelCodes';
import { listFirst } from '../house/bench';
import { HOUSE } from '../house/site';
import { KEYS, newJournal, resultFields } from '../logbook/records';

const NOW = 1_780_000_000;
const ASKED = { from: '2026-02-01', to: '2026-05-28' };

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

const ask = (wish: object, headers = {}) =>
  fetch(`${host.url}/api/report`, {
    method: 'POST',
    headers: { 'content-type': 'application/json', ...headers },
    body: JSON.stringify(wish),
  });
const CSV = { ...ASKED, format: 'csv' as const, paper: 'a4' as const };
/** What lies on the disk beside the tables that tests made. */
const left = () => readdirSync(folder).filter((name) => !name.endsWith('.csv'));
const maker = (more = {}) =>
  newReportMaker({ site: HOUSE, db, simulated: false, now: () => NOW, contacts: () => [], ...more });

it('are the files that the command writes, one at a time, while the host goes on answering', async () => {
  const [made, second, status] = await Promise.all([ask(ASKED), ask(ASKED), fetch(`${host.url}/api/status`)]);
  expect(status.status).toBe(200);
  expect([made.status, second.status].sort()).toEqual([200, 503]);
  const pdf = made.status === 200 ? made : second;
  expect(pdf.headers.get('content-disposition')).toBe(
    'attachment; filename="emergency-lighting-demo-2026-02-01-2026-05-28.pdf"',
  );
  const bytes = Buffer.from(await pdf.arrayBuffer());
  expect(bytes.subarray(0, 8).toString()).toBe('%PDF-1.7');
  expect(bytes.subarray(-6).toString()).toBe('%%EOF\n');
  const table = await (await ask(CSV)).text();
  const csv = join(folder, 'results.csv');
  await reportCommand({ site: HOUSE, db, from: '2026-02-01', to: '2026-05-28', csv, paper: 'a4' });
  expect(`\uFEFF${table}`.replace('\uFEFF\uFEFF', '\uFEFF')).toBe(readFileSync(csv, 'utf8'));
  expect(table.match(/,pass,/g)).toHaveLength(3);
  // Nothing is left behind on the disk.
  await expect.poll(() => left().filter((name) => name.startsWith('nightproof-report-'))).toEqual([]);
});

it('are made one at a time for all buildings of a host', async () => {
  const [one, other] = [maker(), maker()];
  const first = one.make(CSV);
  expect(other.isBusy()).toBe(true);
  await expect(other.make(CSV)).rejects.toThrow('Another report is being made; ask again in a minute.');
  (await first).remove();
  expect(other.isBusy()).toBe(false);
  (await other.make(CSV)).remove();
});

it('are of one luminaire where one is named', async () => {
  const made = await ask({ ...CSV, luminaire: 'A-02' });
  expect(made.headers.get('content-disposition')).toContain('"emergency-lighting-demo-A-02-2026-02-01-');
  const [, ...lines] = (await made.text()).trimEnd().split('\r\n');
  expect(lines).toEqual([expect.stringMatching(/^A-02,.*,pass,/)]);
  const pdf = await ask({ ...ASKED, luminaire: 'A-02' });
  expect(
    Buffer.from(await pdf.arrayBuffer())
      .subarray(-6)
      .toString(),
  ).toBe('%%EOF\n');
});

it('are refused in words for dates or forms that there are not', async () => {
  for (const [wish, answer] of [
    [{ from: '2026-02-30', to: '2026-03-01' }, 'real date'],
    [{ from: '2026-02-01', to: '2026-01-01' }, 'not before the first'],
    [{ from: '2026-02-01' }, 'takes from and to'],
    [{ ...ASKED, format: 'doc' }, 'takes from and to'],
    [{ ...ASKED, luminaire: 'C-09' }, 'no luminaire "C-09"'],
  ] as const) {
    const refused = await ask(wish);
    expect(refused.status).toBe(400);
    expect(((await refused.json()) as { answer: string }).answer).toContain(answer);
  }
});

it('and labels are the sheets that the command makes, with the codes of the address asked for', async () => {
  const post = (wish: object) =>
    fetch(`${host.url}/api/labels`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(wish),
    });
  const wish = { address: 'https://lights.example/house/', sheet: 'a4 3x7', circuit: 'a' };
  const made = await post(wish);
  expect(made.headers.get('content-disposition')).toBe('attachment; filename="labels-demo-a.pdf"');
  const pdf = join(folder, 'labels.csv');
  writeFileSync(pdf, Buffer.from(await made.arrayBuffer()));
  const { luminaires } = HOUSE.circuits.find(({ id }) => id === 'a')!;
  const spaces = luminaires.map((_, i) => ({ x: 7.25 + i * 66, y: 15.15, width: 63.5, height: 38.1 }));
  expect(labelCodes(pdf, spaces).flat()).toEqual(
    luminaires.map(({ id }) => `https://lights.example/house/#/luminaire/${id}`),
  );
  for (const [more, answer] of [
    [{ address: 'the cellar' }, /^The address must be the address at which people open the page, /],
    [{ circuit: 'z' }, /^The site has no circuit "z"; /],
    [{ sheet: 'a5' }, /^Labels take an address, one of the sheets a4 3x8, /],
  ] as const) {
    const refused = await post({ ...wish, ...more });
    expect(refused.status).toBe(400);
    expect(((await refused.json()) as { answer: string }).answer).toMatch(answer);
  }
});

it('are not made for what another web page can have a browser send without being asked', async () => {
  const before = left();
  // An image or a link; a form, which over a plain network comes with its origin alone; and a script.
  const image = await fetch(`${host.url}/api/report?${new URLSearchParams(ASKED)}`);
  expect(image.status).toBe(404);
  const origin = 'http://elsewhere.example';
  expect((await ask(ASKED, { origin, 'content-type': 'text/plain' })).status).toBe(403);
  expect((await ask(ASKED, { 'content-type': 'application/x-www-form-urlencoded' })).status).toBe(403);
  expect((await ask(ASKED, { origin })).status).toBe(403);
  expect(left()).toEqual(before);
});

it('are given up when whoever asked has left', async () => {
  const leaving = new AbortController();
  const before = left();
  const making = maker().make(CSV, leaving.signal);
  leaving.abort();
  await expect(making).rejects.toThrow('SIGKILL');
  expect(left()).toEqual(before);
});

it('that need too much memory end in words', async () => {
  await expect(maker({ memoryMb: 6 }).make(CSV)).rejects.toThrow('shorter period');
});

/** The process as a host starts it, told to write into a folder. */
function started(into: string): ChildProcess {
  const child = fork('build/host/main.js', ['report-part'], { execArgv: [] });
  child.send({ ...CSV, site: HOUSE, db, now: NOW, simulated: false, out: join(into, 'report.csv') });
  return child;
}

it('that a killed host left behind are removed at the next start, and no others', () => {
  const gone = spawnSync(process.execPath, ['--eval', '']).pid;
  const names = [
    `nightproof-report-${gone}-abc123`,
    `nightproof-report-${process.ppid}-abc123`,
    'nightproof-x',
  ];
  for (const name of names) {
    mkdirSync(join(folder, name));
    writeFileSync(join(folder, name, 'report.pdf'), '');
  }
  maker();
  expect(names.filter((name) => existsSync(join(folder, name)))).toEqual(names.slice(1));
  for (const name of names) rmSync(join(folder, name), { recursive: true, force: true });
});

it('say nothing of where the host keeps them', async () => {
  const child = started(join(folder, 'nowhere'));
  const [{ cannot }] = (await once(child, 'message')) as [ReportAnswer];
  expect(cannot).toMatch(/^The host cannot write the report .*\(ENOENT\)\.$/);
  vi.stubEnv('TMPDIR', join(folder, 'nowhere'));
  const refused = await ask(CSV);
  vi.stubEnv('TMPDIR', folder);
  expect([refused.status, await refused.text()]).toEqual([503, expect.not.stringContaining(folder)]);
});

describe('over a connection', () => {
  /** A file that is longer than what a connection holds. */
  const LENGTH = 32_000_000;
  let made: string[];
  let gone: string[];
  let signals: AbortSignal[];
  let wait: boolean;
  let page: Listening;
  let url: string;
  beforeAll(async () => {
    [made, gone, signals, wait] = [[], [], [], false];
    const reports = {
      isBusy: () => false,
      stop: () => undefined,
      async make(_: unknown, signal: AbortSignal) {
        signals.push(signal);
        if (wait) await once(signal, 'abort');
        const file = join(folder, `${made.length}.csv`);
        made.push(file);
        writeFileSync(file, '');
        truncateSync(file, LENGTH);
        return { file, remove: () => void gone.push(file) };
      },
    };
    const place = { port: 0, host: '127.0.0.1' };
    page = await listen(reportRoutes({ site: HOUSE, reports }), place, String);
    url = urlOf({ ...place, port: page.port });
  });
  afterAll(() => page.close());
  const post = (init = {}) => fetch(`${url}/report`, { method: 'POST', body: JSON.stringify(CSV), ...init });

  it('readers who do not read keep no more than three, and none who leaves is a fault of the host', async () => {
    const said = vi.spyOn(console, 'error').mockReturnValue();
    const answers = [];
    for (let i = 0; i < 5; i++) answers.push(await post());
    await expect.poll(() => gone).toEqual(made.slice(0, 2));
    await expect(answers[0].arrayBuffer()).rejects.toThrow();
    expect((await answers[4].arrayBuffer()).byteLength).toBe(LENGTH);
    for (const answer of answers.slice(2, 4)) await answer.body?.cancel();
    await expect.poll(() => gone).toHaveLength(5);
    const complaints = said.mock.calls;
    said.mockRestore();
    expect(complaints).toEqual([]);
  });

  it('a reader who has left is noticed while it is made, and keeps nothing', async () => {
    wait = true;
    const leaving = new AbortController();
    const before = signals.length;
    const asking = post({ signal: leaving.signal });
    await expect.poll(() => signals.length).toBe(before + 1);
    leaving.abort();
    await expect(asking).rejects.toThrow();
    await expect.poll(() => [made.length, gone.length]).toEqual([6, 6]);
  });
});
