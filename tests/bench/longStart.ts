// node --import tsx tests/bench/longStart.ts [RECORDS] [FOLDER]: how long `serve` takes to answer on a log book of
// so many records, the first time and again. With a folder the log book stays there for the next run.
import { existsSync, mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openKeys, secretFileOf } from '../../host/keys';
import { freePort } from '../support/brokers';
import { buildLodge } from '../system/support/lodge';
import { startOn, writeLongBook } from './longBook';

const CIRCUITS = 20;
const STARTS = 3;

const records = Number(process.argv[2] ?? 1_000_000);
const kept = process.argv[3];
const folder = kept ?? mkdtempSync(join(tmpdir(), 'nightproof-long-'));
mkdirSync(folder, { recursive: true });
const { site, file } = buildLodge(folder, CIRCUITS, 60);
const db = join(folder, 'long.db');
if (!existsSync(db)) await writeLongBook(db, site, openKeys(secretFileOf(db)), records);
for (let start = 1; start <= STARTS; start++) {
  const port = await freePort();
  const brokerPort = await freePort();
  const args = ['serve', file, '--db', db, '--port', `${port}`, '--broker-port', `${brokerPort}`];
  const took = await startOn(args, port);
  process.stdout.write(
    `start ${start}: page ${took.statusSec.toFixed(1)} s, log book ${took.logbookSec.toFixed(1)} s, ` +
      `${took.cpuSec.toFixed(1)} s of processor time, ${took.peakMiB.toFixed(0)} MiB, ${took.entries} entries\n`,
  );
}
if (kept === undefined) rmSync(folder, { recursive: true, force: true });
