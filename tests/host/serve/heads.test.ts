// The running host's checkpoints, on a real SQLite file and with a real witness, and what the commands make of them.
import { copyFileSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import type { StatusView } from '../../../host/api/views';
import { openKeys, secretFileOf, sha256Raw } from '../../../host/keys';
import { openLogbook } from '../../../host/logbook/engines/open';
import { noteSigner, signCheckpoint } from '../../../host/proof/ed25519';
import { hostSigner } from '../../../host/proof/hostKey';
import { KeyType, keyText, parseKey } from '../../../host/proof/verifierKey';
import { type Served, serve } from '../../../host/serve/serve';
import { loadSite } from '../../../host/site/load';
import type { Site } from '../../../host/site/model';
import { startWitness, type WitnessServer } from '../../../host/witness/service';
import { openWitnessStore, type WitnessStore } from '../../../host/witness/store';
import { runCommand } from '../../support/command';
import { checkText } from '../proof/file/sample';

const MUSEUM = 'docs/examples/museum-of-tides.yaml';
const gatehouse = noteSigner('gatehouse', KeyType.Cosignature, new Uint8Array(32).fill(2));

let folder: string;
let db: string;
let siteFile: string;
let host: Served | undefined;
let store: WitnessStore;
let witness: WitnessServer;
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'heads-'));
  db = join(folder, 'log.db');
  store = openWitnessStore(join(folder, 'witness.db'));
  const log = hostSigner(openKeys(secretFileOf(db)), 'hollinsea-tides').key;
  const parts = { signer: gatehouse, logs: [log], store, now: () => 1780000000, onProblem: () => undefined };
  witness = await startWitness(parts, { port: 0, host: '127.0.0.1' });
  siteFile = join(folder, 'site.yaml');
  const named = `witnesses: [{ url: "${witness.url}/", key: ${keyText(gatehouse.key)} }]\n`;
  writeFileSync(siteFile, named + readFileSync(MUSEUM, 'utf8'));
});
afterEach(async () => {
  await host?.stop();
  host = undefined;
  await witness.close();
  store.close();
  rmSync(folder, { recursive: true, force: true });
});

function site(): Site {
  const loaded = loadSite(siteFile);
  if ('site' in loaded) return loaded.site;
  throw new Error(JSON.stringify(loaded.mistakes));
}

async function start(): Promise<void> {
  host = await serve({ site: site(), siteFile, db, port: 0, brokerPort: 0, quiet: true });
}

async function stop(): Promise<void> {
  await host?.stop();
  host = undefined;
}

/** Has a person enter something about the first circuit, which is taken on any day. */
async function enterRepair(): Promise<void> {
  const [{ id, luminaires }] = site().circuits;
  const repair = { do: 'repaired', luminaire: luminaires[0].id, part: 'lamp', who: 'A. Person' };
  const answer = await fetch(`${host?.url}/api/circuits/${id}/orders`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify(repair),
  });
  expect(answer.ok).toBe(true);
}

const status = async (): Promise<StatusView> =>
  (await (await fetch(`${host?.url}/api/status`)).json()) as StatusView;

it('signs when it starts and when it ends, shows root and key, and has the witness sign', async () => {
  await start();
  await expect.poll(async () => (await status()).checkpoint?.witnesses[0].size).toBeGreaterThan(0);
  const { checkpoint } = await status();
  expect(checkpoint).toMatchObject({ origin: 'nightproof/hollinsea-tides', alarms: [] });
  expect(checkpoint?.size).toBe(await host!.logbook.entries());
  await enterRepair();
  await stop();
  const { code, stdout } = runCommand(['logbook', 'checkpoint', '--db', db]);
  expect(code).toBe(0);
  const [origin, size] = stdout.split('\n');
  expect([origin, Number(size)]).toEqual(['nightproof/hollinsea-tides', checkpoint!.size + 1]);
  expect(stdout.trimEnd().endsWith(`key ${checkpoint!.key}`)).toBe(true);
});

it('says in words that the log book is in doubt when an older copy is put back', async () => {
  await start();
  await expect.poll(async () => (await status()).checkpoint?.witnesses[0].size).toBeGreaterThan(0);
  await stop();
  copyFileSync(db, join(folder, 'old.db'));
  await start();
  await enterRepair();
  await stop();
  await start();
  await expect
    .poll(async () => (await status()).checkpoint?.witnesses[0].size)
    .toBe(await host!.logbook.entries());
  await stop();
  for (const rest of ['-wal', '-shm']) rmSync(db + rest, { force: true });
  copyFileSync(join(folder, 'old.db'), db);
  await start();
  await expect
    .poll(async () => (await status()).checkpoint?.alarms)
    .toEqual([
      expect.stringMatching(
        /^Witness gatehouse has signed \d+ entries of this log book, which now has .* only/,
      ),
    ]);
});

it('writes a proof that holds, with the witness and a root noted earlier', async () => {
  await start();
  await expect.poll(async () => (await status()).checkpoint?.witnesses[0].size).toBeGreaterThan(0);
  const noted = (await status()).checkpoint!;
  const { luminaires } = site().circuits[0];
  await enterRepair();
  await stop();
  await start();
  await expect.poll(async () => (await status()).checkpoint?.witnesses[0].size).toBeGreaterThan(noted.size);
  await stop();
  const out = join(folder, 'proof.html');
  const args = ['logbook', 'proof', siteFile, '--db', db, '--luminaire', luminaires[0].id, '--out', out];
  const dates = ['--from', '2020-01-01', '--to', '2099-12-31'];
  const { code, stderr, stdout } = runCommand([...args, ...dates, '--noted', noted.root.slice(0, 20)]);
  expect([code, stderr]).toEqual([0, '']);
  expect(stdout).toMatch(/signed by the host and the witness gatehouse\./);
  const html = readFileSync(out, 'utf8');
  const text = /<script type="text\/plain" id="proof">\n([\s\S]*?)<\/script>/.exec(html)![1];
  const checked = await checkText(text);
  expect(checked.earlier?.size).toBe(noted.size);
  expect(checked.witnesses).toHaveLength(1);
  expect(checked.entries.map(({ body }) => JSON.parse(body).kind)).toEqual(['listed', 'repaired']);
  expect(parseKey(noted.key, sha256Raw)).toEqual(checked.host);
});

it('writes a proof under the newest checkpoint that a witness signed, if it holds all that is wanted', async () => {
  await start();
  await expect.poll(async () => (await status()).checkpoint?.witnesses[0].size).toBeGreaterThan(0);
  const { luminaires, id } = site().circuits[0];
  await stop();
  const proofTo = async (name: string) => {
    const args = ['--db', db, '--luminaire', luminaires[0].id, '--out', join(folder, name)];
    const dates = ['--from', '2020-01-01', '--to', '2099-12-31'];
    return runCommand(['logbook', 'proof', siteFile, ...args, ...dates]);
  };
  const logbook = await openLogbook(db);
  const witnessed = (await logbook.checkpoints.all()).findLast((one) => one.cosignatures.length > 0)!;
  const signer = hostSigner(openKeys(secretFileOf(db)), site().id);
  const signOnly = async () => {
    const size = await logbook.tree.size();
    const text = signCheckpoint(signer, { size, root: await logbook.tree.root() });
    await logbook.checkpoints.add({ size, at: 1, text });
  };
  const write = async (address: string, kind: string) =>
    logbook.appendNext(address, 'host', (seq, prev) => {
      const head = { v: 1, journal: 'host', seq, boot: 0, utc: 1780000000, clock: 2, kind };
      const body = JSON.stringify({ ...head, who: 'A. Person', luminaires: luminaires[0].id, prev });
      return { kind, test: 0, at: 1780000000, body };
    });
  try {
    await write(`${site().id}/elsewhere/host`, 'remark');
    await signOnly();
    const before = await proofTo('before.html');
    expect(before.stdout).toContain(
      `under the checkpoint of ${witnessed.size} entries, signed by the host and the witness gatehouse.`,
    );
    await write(`${site().id}/${id}/host`, 'remark');
    await signOnly();
    const after = await proofTo('after.html');
    expect(after.stdout).toMatch(
      new RegExp(
        `and no witness\\.\nThe newest checkpoint that a witness signed covers only the first ${witnessed.size} entries`,
      ),
    );
  } finally {
    await logbook.close();
  }
});

it.each([
  ['a log book that is not there', ['checkpoint', '--db', '/nowhere/log.db'], /There is no log book/],
  [
    'a wrong date',
    ['proof', MUSEUM, '--luminaire', 'X', '--from', '2026-02-30', '--to', '2026-03-01', '--out', 'x.html'],
    /--from must be a real date/,
  ],
])('answers %s with one sentence', (_what, args, sentence) => {
  const { code, stderr } = runCommand(['logbook', ...args]);
  expect([code, stderr.trim().split('\n').length]).toEqual([1, 1]);
  expect(stderr).toMatch(sentence);
  expect(existsSync('x.html')).toBe(false);
});
