// What the page of a large site loads from a running host: bytes on the wire and times of each address. By itself,
// node --import tsx tests/bench/pageLoad.ts [CIRCUITS] [RECORDS] [FOLDER]; with a folder the log book stays there.
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { get, type IncomingMessage } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { openKeys, secretFileOf } from '../../host/keys';
import { freePort } from '../support/brokers';
import { writeEstate } from './largeSite';
import { answered, peakMiBOf, writeLongBook } from './longBook';

/** What the page asks for, by what somebody opens. */
const GROUPS = {
  'first view': ['/', '/app.js', '/app.css', '/api/building', '/api/status/packed'],
  year: ['/api/plan'],
  duties: ['/api/duties'],
  defects: ['/api/defects?closed=0&limit=10&open=100'],
  'log book': ['/api/logbook'],
  'of a circuit': ['/api/logbook?circuit=c17&limit=50'],
  'failed tests': ['/api/logbook?kind=failed'],
  'one luminaire': ['/api/luminaires/L17-3', '/api/luminaires/L17-3/defects'],
  site: ['/api/site'],
};
const TIMES = 7;

export interface PageCost {
  /** Bytes on the wire, and ms until the last of them; the addresses of a group one after the other, each its median. */
  groups: { name: string; bytes: number; ms: number }[];
  luminaires: number;
  /** Most memory the host had held when it first answered, and after all of them, MiB. */
  startMiB: number;
  peakMiB: number;
}

interface Cost {
  bytes: number;
  ms: number;
}

/** One GET as a browser asks, unread but for its length. */
async function ask(url: string): Promise<Cost> {
  const began = performance.now();
  const asked = get(url, { headers: { 'accept-encoding': 'gzip' } });
  const [answer] = (await once(asked, 'response')) as [IncomingMessage];
  let bytes = 0;
  for await (const piece of answer) bytes += (piece as Buffer).length;
  if (answer.statusCode !== 200) throw new Error(`${url} answers ${answer.statusCode}.`);
  return { bytes, ms: performance.now() - began };
}

async function typical(url: string): Promise<Cost> {
  const costs: Cost[] = [];
  for (let i = 0; i < TIMES; i++) costs.push(await ask(url));
  return costs.sort((a, b) => a.ms - b.ms)[Math.floor(TIMES / 2)];
}

async function measureGroup(url: string, name: string, paths: string[]): Promise<PageCost['groups'][number]> {
  let [bytes, ms] = [0, 0];
  for (const path of paths) {
    const cost = await typical(url + path);
    bytes += cost.bytes;
    ms += cost.ms;
  }
  return { name, bytes, ms };
}

/** The page of an estate of so many circuits, with so many records in its log book. */
export async function measurePageLoad(circuits: number, records: number, folder: string): Promise<PageCost> {
  const { site, file } = writeEstate(folder, circuits);
  const db = join(folder, 'large.db');
  if (!existsSync(db)) await writeLongBook(db, site, openKeys(secretFileOf(db)), records);
  const port = await freePort();
  const url = `http://127.0.0.1:${port}`;
  const ports = ['--port', `${port}`, '--broker-port', `${await freePort()}`];
  const args = ['build/host/main.js', 'serve', file, '--db', db, ...ports];
  const host = spawn(process.execPath, args, { stdio: 'ignore' });
  try {
    await answered(host, `${url}/api/status`);
    const startMiB = peakMiBOf(host.pid as number);
    const groups: PageCost['groups'] = [];
    for (const [name, paths] of Object.entries(GROUPS)) groups.push(await measureGroup(url, name, paths));
    const luminaires = site.circuits.reduce((sum, one) => sum + one.luminaires.length, 0);
    return { groups, luminaires, startMiB, peakMiB: peakMiBOf(host.pid as number) };
  } finally {
    const ended = once(host, 'exit');
    host.kill('SIGTERM');
    await ended;
  }
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const kept = process.argv[4];
  const folder = kept ?? mkdtempSync(join(tmpdir(), 'nightproof-page-'));
  mkdirSync(folder, { recursive: true });
  const [circuits, records] = [Number(process.argv[2] ?? 1250), Number(process.argv[3] ?? 250_000)];
  const { groups, luminaires, startMiB, peakMiB } = await measurePageLoad(circuits, records, folder);
  const memory = `host ${startMiB.toFixed(0)} MiB at the start, ${peakMiB.toFixed(0)} MiB after all`;
  process.stdout.write(`${luminaires} luminaires, ${records} records; ${memory}\n`);
  for (const { name, bytes, ms } of groups)
    process.stdout.write(`${name.padEnd(14)} ${(bytes / 1000).toFixed(1)} kB, ${ms.toFixed(0)} ms\n`);
  if (kept === undefined) rmSync(folder, { recursive: true, force: true });
}
