// The witness as people run it: started from the command line, killed, and started again.

import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { sha256Raw } from '../../../host/keys';
import { noteSigner, signCheckpoint, verifyEd25519 } from '../../../host/proof/ed25519';
import { noteOf, parseNote, verifyNote } from '../../../host/proof/note';
import { KeyType, keyText, parseKey, type VerifierKey } from '../../../host/proof/verifierKey';
import { requestText } from '../../../host/proof/witnessRequest';
import { originHash } from '../../../host/witness/service';
import { runCommand } from '../../support/command';
import { isWhole } from '../../support/depth';
import { consistencyProof, sampleLeaves, treeHash } from '../proof/rfc6962';

const ROOT = fileURLToPath(new URL('../../..', import.meta.url));
const log = noteSigner('nightproof/museum', KeyType.Note, new Uint8Array(32).fill(1));
const leaves = sampleLeaves(600);

let folder: string;
let child: ChildProcess | undefined;
let url: string;
let key: VerifierKey;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'witness-'));
});
afterEach(async () => {
  await kill();
  rmSync(folder, { recursive: true });
});

async function kill(): Promise<void> {
  if (!child || child.exitCode !== null || child.signalCode !== null) return;
  child.kill('SIGKILL');
  await once(child, 'exit');
}

async function start(): Promise<void> {
  const args = ['witness', '--dir', folder, '--port', '0', '--name', 'gatehouse', '--log', keyText(log.key)];
  child = spawn(process.execPath, ['build/host/main.js', ...args], {
    cwd: ROOT,
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  let said = '';
  for await (const piece of child.stdout!) {
    said += piece;
    const found = /Witness at (\S+), key (\S+)/.exec(said);
    if (!found) continue;
    url = found[1];
    key = parseKey(found[2], sha256Raw);
    return;
  }
  throw new Error(`The witness ended: ${said}`);
}

function checkpoint(size: number, from = leaves): string {
  return signCheckpoint(log, { size, root: treeHash(from.slice(0, size)) });
}

async function post(oldSize: number, size: number, from = leaves): Promise<Response> {
  const proof = oldSize > size ? [] : consistencyProof(oldSize, from.slice(0, size));
  const body = requestText({ oldSize, proof, checkpoint: checkpoint(size, from) });
  return fetch(`${url}/add-checkpoint`, { method: 'POST', body });
}

it('signs over HTTP, keeps the signed checkpoint for monitors, and knows it after kill -9', async () => {
  await start();
  const { key: publicKey } = { key };
  const answer = await post(0, 7);
  expect(answer.status).toBe(200);
  const line = await answer.text();
  await kill();
  await start();
  expect(key).toEqual(publicKey);
  const late = await post(0, 9);
  expect([late.status, late.headers.get('content-type'), await late.text()]).toEqual([
    409,
    'text/x.tlog.size',
    '7\n',
  ]);
  const kept = await (await fetch(`${url}/${originHash('nightproof/museum')}/checkpoint`)).text();
  expect(kept).toBe(checkpoint(7) + line);
  expect(await verifyNote(parseNote(kept), [log.key, key], verifyEd25519)).toHaveLength(2);
  expect((await post(7, 9)).status).toBe(200);
  expect((await post(9, 9, sampleLeaves(9, 'forged'))).status).toBe(422);
  expect(await (await fetch(url)).text()).toMatch(/newest of 9 entries[\s\S]*refused: .*has another root/);
});

it('refuses what it cannot read, and paths it does not have', async () => {
  await start();
  const ask = (body: string | Uint8Array) =>
    fetch(`${url}/add-checkpoint`, { method: 'POST', body: body as BodyInit });
  expect((await ask('')).status).toBe(400);
  expect((await ask(Uint8Array.of(0xff, 0xfe))).status).toBe(400);
  expect((await ask('x'.repeat(100_000))).status).toBe(400);
  expect((await fetch(`${url}/${originHash('nobody')}/checkpoint`)).status).toBe(404);
});

it('forgets nothing it signed, however often it is killed under load', async () => {
  let signed = 0;
  for (let round = 0; round < (isWhole ? 25 : 4); round++) {
    await start();
    // What it knows may be one more than we heard of: it stores before it answers.
    const knows = Number((await (await post(599, 600)).text()).trim()) || 0;
    expect([signed, signed + 1]).toContain(knows);
    signed = knows;
    const dying = child!;
    setTimeout(() => dying.kill('SIGKILL'), 60 + 40 * (round % 5));
    try {
      while (signed < 590) {
        const answer = await post(signed, signed + 1);
        expect(answer.status).toBe(200);
        const text = noteOf(parseNote(checkpoint(signed + 1)).text, await answer.text());
        expect(await verifyNote(parseNote(text), [key], verifyEd25519)).toHaveLength(1);
        signed++;
      }
    } catch (error) {
      if (!/fetch failed|terminated/.test((error as Error).message)) throw error;
    }
    await kill();
  }
  expect(signed).toBeGreaterThan(0);
});

it.each([
  ['a mistyped key', ['--log', 'nightproof/museum+00000000+AXXX'], /nightproof\/museum/],
  [
    'a folder that is not there',
    ['--log', keyText(log.key), '--dir', '/nowhere'],
    /There is no folder \/nowhere/,
  ],
  ['a name with a space', ['--log', keyText(log.key), '--name', 'gate house'], /--name must be/],
])('answers %s with one sentence', (_what, args, sentence) => {
  const all = ['witness', '--dir', folder, '--name', 'gatehouse', ...args];
  const { code, stderr } = runCommand(all);
  expect([code, stderr.trim().split('\n').length]).toEqual([1, 1]);
  expect(stderr).toMatch(sentence);
});
