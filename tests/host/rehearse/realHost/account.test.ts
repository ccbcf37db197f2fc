import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { signingKey } from '../../../../firmware/contract/signature';
import { sha256 } from '../../../../host/keys';
import { openLogbook } from '../../../../host/logbook/engines/open';
import type { NewRecord } from '../../../../host/logbook/logbook';
import { Account, type Contents, contentsOf, gapsIn } from '../../../../host/rehearse/realHost/account';
import { Ledger } from '../../../../simulator/campaign/ledger';
import { KEYS, newJournal } from '../../logbook/records';

const ADDRESS = 'demo/a';
const JOURNAL = '0a1b2c3d';
const NAME = `${ADDRESS} ${JOURNAL}`;
let folder: string;
let records: NewRecord[];
let account: Account;
let files = 0;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-account-'));
  const journal = newJournal(ADDRESS);
  records = Array.from({ length: 6 }, () => journal.record());
  const ledger = new Ledger(signingKey(KEYS.secretOf(ADDRESS), sha256), ADDRESS);
  for (const { body } of records) ledger.take(body);
  account = new Account(() => ledger);
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

/** What is read of a log book with these records, which a host still has open. */
async function stored(...of: NewRecord[]): Promise<Contents> {
  const file = join(folder, `${++files}.db`);
  const logbook = await openLogbook(file);
  await logbook.appendBatch(of);
  const contents = contentsOf(file, join(folder, 'scratch'));
  await logbook.close();
  return contents;
}

it('misses an acknowledged record that is not in the file, and one that is another there', async () => {
  account.acknowledged(ADDRESS, JOURNAL, 6);
  expect(account.check(await stored(...records))).toEqual({ wrong: [], lost: 0 });
  const { wrong, lost } = account.check(await stored(...records.slice(0, 4)));
  expect([wrong, lost]).toEqual([
    [`I4 2 acknowledged records are not in the log book: record 5 of ${NAME}`],
    2,
  ]);
  const other = { ...records[2], body: newJournal(ADDRESS).next('held', { reason: 23, arg: 0 }) };
  const changed = await stored(records[0], records[1], other, ...records.slice(3));
  expect(account.check(changed).wrong).toContain(`I4 record 3 of ${NAME} is another in the log book`);
});

it('misses no record that nobody has acknowledged, and knows one that never came', async () => {
  account.acknowledged(ADDRESS, JOURNAL, 3);
  expect(account.check(await stored(...records.slice(0, 3)))).toEqual({ wrong: [], lost: 0 });
  expect(account.acknowledged(ADDRESS, JOURNAL, 7)).toMatch(/acknowledged record 7 .* never came/);
});

it('asks of a restored log book that it has in the end what controllers still keep', async () => {
  account.acknowledged(ADDRESS, JOURNAL, 5);
  const backup = await stored(...records.slice(0, 2));
  account.restored(backup);
  expect(account.newerThanBackup()).toBe(3);
  expect(account.check(backup)).toEqual({ wrong: [], lost: 0 });
  const written = new Map([[NAME, 5]]);
  const settle = async (before: number, ...of: NewRecord[]) =>
    account.settle(await stored(...of), written, new Map([[NAME, before]]));
  expect(await settle(0, ...records.slice(0, 5))).toEqual({ wrong: [], neverAgain: 0 });
  // The controller has long erased records 1 to 4.
  expect(await settle(4, ...records.slice(0, 2), records[4])).toEqual({ wrong: [], neverAgain: 2 });
  expect((await settle(0, ...records.slice(0, 2), records[5])).wrong).toHaveLength(3);
});

it('says what a log book lacks in the words of verify', async () => {
  const logbook = await openLogbook(join(folder, 'gaps.db'));
  await logbook.appendBatch([records[0], records[2], records[5]]);
  const sentences = (await logbook.verify(KEYS)).faults.map(({ why }) => why);
  await logbook.close();
  const gaps = gapsIn(contentsOf(join(folder, 'gaps.db'), join(folder, 'scratch')).held);
  expect(gaps).toHaveLength(2);
  for (const [i, gap] of gaps.entries()) expect(sentences[i]).toMatch(gap);
});
