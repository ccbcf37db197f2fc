// The host calls only where its operator says: a receiver that points elsewhere is not followed, and nothing is sent there.
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { newStamper } from '../../host/checkpoints/stamper';
import type { AlertMessage } from '../../host/integrators/alerts/alarms';
import { postAlert } from '../../host/integrators/alerts/webhook';
import { openLogbook } from '../../host/logbook/engines/open';
import { noteSigner, signCheckpoint } from '../../host/proof/ed25519';
import { KeyType } from '../../host/proof/verifierKey';
import { witnessClient } from '../../host/witness/client';

/** What was asked of the second server. */
let reached: string[];
let away: string;
let ends: (() => Promise<unknown>)[];

async function serving(location?: string): Promise<string> {
  const server = createServer((request, answer) => {
    request.resume();
    if (location === undefined) reached.push(request.url ?? '');
    answer.writeHead(location === undefined ? 200 : 307, location === undefined ? {} : { location }).end();
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  ends.push(() => {
    server.closeAllConnections();
    return new Promise((resolve) => server.close(resolve));
  });
  return `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
}

beforeEach(async () => {
  [reached, ends] = [[], []];
  away = await serving(`${await serving()}/inside`);
});
afterEach(() => Promise.all(ends.map((end) => end())));

const signer = noteSigner('nightproof/museum', KeyType.Note, new Uint8Array(32).fill(1));
const note = signCheckpoint(signer, { size: 1, root: new Uint8Array(32).fill(7) });

it('a webhook is not followed elsewhere', async () => {
  const message = { building: 'demo', events: [{ id: 'x' }] } as unknown as AlertMessage;
  await expect(postAlert({ url: away }, message, 0)).rejects.toThrow(/redirect/);
  expect(reached).toEqual([]);
});

it('a witness is not followed elsewhere', async () => {
  const consistency = async () => [];
  const client = witnessClient({ url: away, key: signer.key, patienceMs: 10_000, consistency });
  const outcome = await client.push({ size: 1, note });
  expect(outcome).toMatchObject({ outcome: 'failed', why: expect.stringMatching(/redirect/) });
  expect(reached).toEqual([]);
});

it('a time stamp server is not followed elsewhere', async () => {
  const book = await openLogbook(':memory:');
  await book.checkpoints.add({ size: 1, at: 1770000000, text: note });
  const stamper = newStamper({ url: away, book, patienceMs: 10_000, now: () => 0 });
  const problems: string[] = [];
  await stamper.run((await book.checkpoints.latest())!, (sentence) => problems.push(sentence));
  await book.close();
  expect(problems).toEqual([expect.stringMatching(/redirect/)]);
  expect(reached).toEqual([]);
});
