// A real time stamp server: openssl behind a small HTTP server.
import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, beforeEach, expect, it } from 'vitest';
import { newStamper } from '../../../host/checkpoints/stamper';
import { openLogbook } from '../../../host/logbook/engines/open';
import type { Logbook } from '../../../host/logbook/logbook';
import { noteSigner, signCheckpoint } from '../../../host/proof/ed25519';
import { stampedTime } from '../../../host/proof/timeStamp';
import { KeyType } from '../../../host/proof/verifierKey';

const CONFIG = `
[tsa]
default_tsa = tsa1
[tsa1]
serial = serial
crypto_device = builtin
signer_cert = tsa.pem
signer_key = tsa.key
certs = ca.pem
signer_digest = sha256
default_policy = 1.2.3.4.1
digests = sha256
accuracy = secs:1
[ca]
basicConstraints = critical,CA:TRUE
[stamper]
extendedKeyUsage = critical,timeStamping
`;

let folder: string;
const openssl = (...words: string[]): string =>
  execFileSync('openssl', words, { cwd: folder, encoding: 'utf8', stdio: ['ignore', 'pipe', 'pipe'] });

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'stamper-'));
  writeFileSync(join(folder, 'tsa.cnf'), CONFIG);
  writeFileSync(join(folder, 'serial'), '01\n');
  const made = ['-newkey', 'rsa:2048', '-nodes', '-days', '2'];
  openssl(...['req', '-x509', ...made, '-subj', '/CN=Test CA', '-keyout', 'ca.key', '-out', 'ca.pem']);
  openssl('req', ...made.slice(0, 3), '-subj', '/CN=Test stamps', '-keyout', 'tsa.key', '-out', 'tsa.csr');
  openssl(
    ...[
      'x509',
      '-req',
      '-in',
      'tsa.csr',
      '-CA',
      'ca.pem',
      '-CAkey',
      'ca.key',
      '-CAcreateserial',
      '-days',
      '2',
    ],
    ...['-extfile', 'tsa.cnf', '-extensions', 'stamper', '-out', 'tsa.pem'],
  );
});
afterAll(() => rmSync(folder, { recursive: true }));

/** What the server makes of a request; null: it never answers. */
type Answer = (query: Buffer) => Buffer | null;

const stamp: Answer = (query) => {
  writeFileSync(join(folder, 'query.tsq'), query);
  openssl('ts', '-reply', '-config', 'tsa.cnf', '-queryfile', 'query.tsq', '-out', 'reply.tsr');
  return readFileSync(join(folder, 'reply.tsr'));
};

/** The first of some bytes, in hex, replaced by as many others. */
function withOther(bytes: Buffer, from: string, to: string): Buffer {
  const at = bytes.indexOf(Buffer.from(from, 'hex'));
  if (at < 0) throw new Error(`There is no ${from}.`);
  return Buffer.concat([bytes.subarray(0, at), Buffer.from(to, 'hex'), bytes.subarray(at + from.length / 2)]);
}

let answer: Answer;
let server: Server;
let logbook: Logbook;
let problems: string[];
const signer = noteSigner('nightproof/museum', KeyType.Note, new Uint8Array(32).fill(1));
const text = signCheckpoint(signer, { size: 1, root: new Uint8Array(32).fill(7) });

beforeEach(async () => {
  answer = stamp;
  problems = [];
  server = createServer((request, response) => {
    const parts: Buffer[] = [];
    request.on('data', (part: Buffer) => parts.push(part));
    request.on('end', () => {
      const made = answer(Buffer.concat(parts));
      if (made) response.setHeader('Content-Type', 'application/timestamp-reply').end(made);
    });
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  logbook = await openLogbook(':memory:');
  await logbook.checkpoints.add({ size: 1, at: 1770000000, text });
});
afterEach(async () => {
  server.closeAllConnections();
  server.close();
  await logbook.close();
});

async function run(patienceMs = 10_000) {
  const { port } = server.address() as AddressInfo;
  const url = `http://127.0.0.1:${port}/stamp`;
  const errand = newStamper({ url, book: logbook, patienceMs, now: () => 1770000100 });
  const checkpoint = (await logbook.checkpoints.latest())!;
  await errand.run(checkpoint, (sentence) => problems.push(sentence));
  const { stamps } = (await logbook.checkpoints.latest())!;
  return { url, errand, stamps };
}

it('stores a stamp that openssl accepts over the text that was signed, and over no other', async () => {
  const before = Math.floor(Date.now() / 1000);
  const { url, errand, stamps } = await run();
  expect(problems).toEqual([]);
  expect(stamps).toMatchObject([{ url, at: 1770000100 }]);
  expect(errand.state()).toMatchObject({ name: url, size: 1, problem: '' });
  expect(errand.state().at).toBeGreaterThanOrEqual(before - 1);
  writeFileSync(join(folder, 'checkpoint.txt'), text.slice(0, text.indexOf('\n\n') + 1));
  writeFileSync(join(folder, 'stored.tsr'), stamps[0].token);
  const verify = ['ts', '-verify', '-in', 'stored.tsr', '-CAfile', 'ca.pem', '-data'];
  expect(openssl(...verify, 'checkpoint.txt')).toContain('Verification: OK');
  const digest = createHash('sha256')
    .update(text.slice(0, text.indexOf('\n\n') + 1))
    .digest();
  expect(stampedTime(stamps[0].token, digest)).toBe(errand.state().at);
  writeFileSync(join(folder, 'other.txt'), text);
  expect(() => openssl(...verify, 'other.txt')).toThrow();
});

it.each<[string, () => Answer, RegExp]>([
  [
    'a stamp over other data',
    () => () => {
      openssl('ts', '-query', '-data', 'tsa.cnf', '-sha256', '-out', 'else.tsq');
      return stamp(readFileSync(join(folder, 'else.tsq')));
    },
    /it is about other data\.$/,
  ],
  [
    'the stamp of an earlier request',
    () => {
      let first: Buffer | null | undefined;
      writeFileSync(join(folder, 'same.txt'), text.slice(0, text.indexOf('\n\n') + 1));
      return () => {
        openssl('ts', '-query', '-data', 'same.txt', '-sha256', '-out', 'same.tsq');
        first ??= stamp(readFileSync(join(folder, 'same.tsq')));
        return first;
      };
    },
    /it answers another request\.$/,
  ],
  ['a refusal', () => () => stamp(Buffer.from('no request')), /it was refused.*\.$/],
  ['rubbish', () => () => Buffer.from('rubbish'), /it is not a reply of a time stamp server\.$/],
  [
    'half a reply',
    () => (query) => stamp(query)!.subarray(0, 900),
    /it is not a reply of a time stamp server\.$/,
  ],
  [
    'a stamp with more behind it',
    () => (query) => Buffer.concat([stamp(query)!, Buffer.from('more')]),
    /4 bytes follow it that do not belong to it\.$/,
  ],
  [
    'signed data that is no time stamp',
    // The object identifier 1.2.840.113549.1.9.16.1.4 in DER, and one that ends in 5.
    () => (query) => withOther(stamp(query)!, '060b2a864886f70d0109100104', '060b2a864886f70d0109100105'),
    /what is signed in it is no time stamp\.$/,
  ],
  ['far too much', () => () => Buffer.alloc(70_000), /its answer has more than 65536 bytes\.$/],
])('stores nothing of %s, and says why', async (_what, make, why) => {
  answer = make();
  const { errand, stamps } = await run();
  expect(stamps).toEqual([]);
  expect(problems).toEqual([expect.stringMatching(/^No time stamp came from http:.*\.$/)]);
  expect(problems[0]).toMatch(why);
  expect(errand.state()).toMatchObject({ size: 0, problem: problems[0] });
});

it('does not wait for ever for a server that is silent', async () => {
  answer = () => null;
  const { stamps } = await run(200);
  expect(stamps).toEqual([]);
  expect(problems[0]).toMatch(/^No time stamp came from http:.*timeout/);
});

it('reads no answer that never ends, and does not wait for one that stops half-way', async () => {
  let sent = 0;
  const flood = createServer((_request, response) => {
    const more = (): void => {
      while (!response.destroyed && response.write(Buffer.alloc(16_384))) sent += 16_384;
    };
    response.on('drain', more);
    more();
  });
  const stall = createServer((_request, response) => void response.write('half'));
  for (const odd of [flood, stall]) {
    await new Promise<void>((resolve) => odd.listen(0, '127.0.0.1', resolve));
    const { port } = odd.address() as AddressInfo;
    const url = `http://127.0.0.1:${port}/stamp`;
    const errand = newStamper({ url, book: logbook, patienceMs: 1000, now: () => 0 });
    await errand.run((await logbook.checkpoints.latest())!, (sentence) => problems.push(sentence));
    odd.closeAllConnections();
    odd.close();
  }
  expect(problems).toEqual([
    expect.stringMatching(/its answer has more than 65536 bytes\.$/),
    expect.stringMatching(/timeout/),
  ]);
  // What the sockets hold is sent; what a faulty server could send in a second is not read.
  expect(sent).toBeLessThan(16 * 2 ** 20);
  expect((await logbook.checkpoints.latest())!.stamps).toEqual([]);
});
