// The log book's file is removed, replaced or cut short under a host that has it open.
import { execFileSync } from 'node:child_process';
import {
  copyFileSync,
  mkdtempSync,
  readdirSync,
  renameSync,
  rmSync,
  statSync,
  truncateSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { createIngest } from '../../../host/ingest/ingest';
import { openLogbook } from '../../../host/logbook/engines/open';
import { KEYS, newJournal } from './records';

const A = 'demo/a';

let folder: string;
let db: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-identity-'));
  db = join(folder, 'log.db');
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

/** A host that has acknowledged ten records, with ten more at hand. */
async function newHost() {
  const logbook = await openLogbook(db);
  const problems: string[] = [];
  let acked = 0;
  const ingest = createIngest({
    ...{ logbook, keys: KEYS, clock: { nowMs: () => 1770000000000 } },
    publish(_topic, payload) {
      acked = (JSON.parse(payload) as { through: number }).through;
      return true;
    },
    onProblem: (sentence) => problems.push(sentence),
  });
  const journal = newJournal(A);
  const send = async (): Promise<boolean> => {
    for (let i = 0; i < 10; i++)
      ingest.accept('nightproof/demo/a/record', journal.next('held', { reason: 23, arg: 0 }), false);
    return ingest.flush();
  };
  expect(await send()).toBe(true);
  return { logbook, send, problems, acked: () => acked };
}

/** In a process of its own, as anyone would. */
function inShell(script: string): void {
  execFileSync('sh', ['-c', script], { cwd: folder });
}

describe('a host whose log book is gone', () => {
  it.each([
    ['the database removed', 'rm log.db', /was removed while/],
    ['all its files removed', 'rm log.db*', /was removed while/],
    ['its WAL removed', 'rm log.db-wal', /was robbed of its newest entries: .*log\.db-wal was removed while/],
    ['another file in its place', 'cp log.db copy.db; mv copy.db log.db', /was replaced by another while/],
    ['its folder moved', 'mkdir old; mv log.db* old', /was removed while/],
  ])('acknowledges nothing, says so, and saves what it acknowledged: %s', async (_how, script, sentence) => {
    const { logbook, send, problems, acked } = await newHost();
    inShell(script);
    for (let i = 0; i < 3; i++) expect(await send()).toBe(false);
    expect(acked()).toBe(10);
    expect(problems).toHaveLength(1);
    expect(problems[0]).toMatch(sentence);
    expect(problems[0]).toMatch(/copied to .*log\.db\.rescued: stop the host/);
    await expect(logbook.through(A, '0a1b2c3d')).rejects.toThrow(sentence);
    await expect(logbook.memory.remember('a', 'b')).rejects.toThrow(sentence);
    await logbook.close();
    expect(readdirSync(folder).filter((name) => name.includes('rescued'))).toEqual(['log.db.rescued']);
    // As the sentence says.
    rmSync(`${db}-wal`, { force: true });
    rmSync(`${db}-shm`, { force: true });
    renameSync(`${db}.rescued`, db);
    const again = await openLogbook(db);
    expect(await again.through(A, '0a1b2c3d')).toBe(10);
    expect(await again.verify(KEYS)).toMatchObject({ valid: true, entries: 10 });
    await again.close();
  });

  it.each(['log.db', 'log.db-wal'])('acknowledges nothing after %s was cut short', async (name) => {
    const { logbook, send, problems, acked } = await newHost();
    const file = join(folder, name);
    for (const size of [0, Math.floor(statSync(file).size / 2)]) {
      truncateSync(file, size);
      expect(await send()).toBe(false);
    }
    expect(acked()).toBe(10);
    expect(problems[0]).toMatch(/was cut short while the host was using it/);
    await logbook.close();
  });

  it('gives the copy a name that is free', async () => {
    const { send, problems, logbook } = await newHost();
    // Nothing can be made where the copy should go.
    writeFileSync(`${db}.rescued`, '');
    rmSync(db);
    expect(await send()).toBe(false);
    expect(problems[0]).toContain('log.db.rescued-2');
    await logbook.close();
  });
});

it('takes the end of another command, which empties the WAL, for what it is', async () => {
  const { logbook, send, acked } = await newHost();
  for (let i = 2; i < 5; i++) {
    const other = await openLogbook(db);
    await other.appendBatch([newJournal('demo/b', `b${i}`).record()]);
    await other.close();
    expect(await send()).toBe(true);
    expect(acked()).toBe(10 * i);
  }
  copyFileSync(db, `${db}.copy`);
  expect(await send()).toBe(true);
  await logbook.close();
});
