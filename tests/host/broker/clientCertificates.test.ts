// A second listener of Mosquitto for clients that show a certificate: which are let in, with certificates made by openssl.
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { connectAsync } from 'mqtt';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { brokerFiles } from '../../../host/broker/files';
import { loginOf } from '../../../host/broker/logins';
import { freePort, type MosquittoBroker, startMosquitto } from '../../support/brokers';
import { HOUSE } from '../house/site';
import { KEYS } from '../logbook/records';

let folder: string;
let port: number;
let broker: MosquittoBroker;
const inFolder = (name: string) => join(folder, name);
const openssl = (...words: string[]) => execFileSync('openssl', words, { cwd: folder, stdio: 'pipe' });

const KEY = ['-newkey', 'ec', '-pkeyopt', 'ec_paramgen_curve:P-256', '-nodes'];

function makeAuthority(name: string): void {
  const files = ['-keyout', `${name}.key`, '-out', `${name}.pem`];
  openssl('req', '-x509', ...KEY, '-days', '30', '-subj', `/CN=${name}`, ...files);
}

/** A certificate of `authority`. @param days how long it is good; 0 for one that has ended */
function makeCertificate(name: string, authority: string, days = 30): void {
  openssl('req', ...KEY, '-subj', `/CN=${name}`, '-keyout', `${name}.key`, '-out', `${name}.csr`);
  writeFileSync(inFolder('san.cnf'), 'subjectAltName = IP:127.0.0.1\n');
  const by = ['-CA', `${authority}.pem`, '-CAkey', `${authority}.key`, '-CAcreateserial'];
  const how = ['-extfile', 'san.cnf', '-days', String(days)];
  openssl('x509', '-req', '-in', `${name}.csr`, ...by, ...how, '-out', `${name}.pem`);
}

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-certificates-'));
  for (const name of ['ca', 'foreign']) makeAuthority(name);
  for (const name of ['broker', 'hall']) makeCertificate(name, 'ca');
  makeCertificate('ended', 'ca', 0);
  makeCertificate('stranger', 'foreign');
  port = await freePort();
  const tls = {
    port,
    authority: inFolder('ca.pem'),
    certificate: inFolder('broker.pem'),
    key: inFolder('broker.key'),
  };
  const wish = { site: HOUSE, keys: KEYS, readers: ['hall'], host: '127.0.0.1', port: 1, folder, tls };
  const { texts } = brokerFiles(wish);
  for (const [name, text] of Object.entries(texts)) writeFileSync(inFolder(name), text);
  const conf = texts['nightproof.conf'].split('\n');
  const second = conf.slice(conf.findIndex((line) => line.startsWith(`listener ${port} `)));
  const config = [`acl_file ${folder}/acl`, ...second];
  broker = await startMosquitto({ passwordFile: inFolder('passwords'), config });
});
afterAll(async () => {
  await broker?.stop();
  rmSync(folder, { recursive: true, force: true });
});

/** Why a reader is not let in; '' if it is. @param shown name of its certificate, '' for none */
async function refusal(shown: string, more: object = {}): Promise<string> {
  const files = shown && {
    cert: readFileSync(inFolder(`${shown}.pem`)),
    key: readFileSync(inFolder(`${shown}.key`)),
  };
  try {
    const client = await connectAsync(`mqtts://127.0.0.1:${port}`, {
      ...{ ca: readFileSync(inFolder('ca.pem')), ...files, clientId: 'reader-hall' },
      ...{
        ...loginOf(KEYS, 'reader-hall'),
        username: 'reader-hall',
        reconnectPeriod: 0,
        connectTimeout: 30_000,
      },
      ...more,
    });
    await client.endAsync();
    return '';
  } catch (error) {
    return (error as Error).message;
  }
}

it('lets in a reader with a certificate of the authority and its password', async () => {
  expect(await refusal('hall')).toBe('');
});

it.each([
  ['none', ''],
  ['one that has ended', 'ended'],
  ['one of another authority', 'stranger'],
])('refuses %s, whatever the password', async (_, shown) => {
  expect(await refusal(shown)).toMatch(/certificate|alert|closed|reset|ECONNRESET/i);
});

it('refuses the right certificate with a wrong password', async () => {
  expect(await refusal('hall', { password: 'wrong' })).toMatch(/not authorized|bad user name or password/i);
});

it('is itself refused by a reader that trusts another authority', async () => {
  expect(await refusal('hall', { ca: readFileSync(inFolder('foreign.pem')) })).toMatch(
    /certificate|signature/i,
  );
});
