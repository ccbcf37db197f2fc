// Certificates as a client sees them: Node's own TLS (OpenSSL) judges, not the library that made them.
import { execFileSync } from 'node:child_process';
import { X509Certificate } from 'node:crypto';
import { mkdtempSync, readFileSync, renameSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { connect } from 'node:tls';
import { Hono } from 'hono';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { makeTls } from '../../../host/serve/pageDoor';
import { listen } from '../../../host/server/listen';
import { newAuthority, newServerPair } from '../../../host/tls/authority';
import { demoTlsFile, givenTls, ownTls, type Tls } from '../../../host/tls/kept';

const NOW = 1_800_000_000_000;
const NAMES = ['192.168.1.20', 'fd12::7', 'lights.example.org', 'localhost', '127.0.0.1'];
let folder: string;
let file: string;
let tls: Tls;
const own = (more: Partial<Parameters<typeof ownTls>[1]> = {}, at = file) =>
  ownTls(at, { site: 'demo', names: NAMES, given: ['lights.example.org'], nowMs: NOW, ...more });

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-tls-'));
  file = join(folder, 'log.db.tls');
  tls = await own();
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** What openssl says of a certificate. */
function openssl(cert: string, ca: string, name: string): string {
  const [own, root] = ['cert.pem', 'ca.pem'].map((one) => join(folder, one));
  writeFileSync(own, cert);
  writeFileSync(root, ca);
  const at = String(NOW / 1000);
  const asked = /^[\d.]+$|:/.test(name) ? '-verify_ip' : '-verify_hostname';
  const args = [
    'verify',
    '-x509_strict',
    '-attime',
    at,
    '-purpose',
    'sslserver',
    '-CAfile',
    root,
    asked,
    name,
    own,
  ];
  try {
    return execFileSync('openssl', args, { encoding: 'utf8', stdio: 'pipe' });
  } catch (error) {
    return String((error as { stderr: unknown }).stderr);
  }
}

describe('the certificate of the host', () => {
  it.each(NAMES)('is believed for %s by who trusts the authority', (name) => {
    expect(openssl(tls.cert, tls.authority!.cert, name)).toMatch(/OK/);
  });

  it('is believed for no other name', () => {
    expect(openssl(tls.cert, tls.authority!.cert, 'other.example.org')).toMatch(/ostname mismatch/);
  });

  it('stays as it is until a month before its end, and is then made anew by the same authority', async () => {
    expect(await own()).toEqual(tls);
    const later = NOW + 340 * 86_400_000;
    const next = await own({ nowMs: later });
    expect(next.cert).not.toBe(tls.cert);
    expect(next.authority).toEqual(tls.authority);
    expect(Date.parse(new X509Certificate(next.cert).validTo)).toBeGreaterThan(later);
    tls = await own({ names: [...NAMES, '10.0.0.9'] });
    expect(tls.authority).toEqual(next.authority);
  });

  it('is kept so that only its owner can read it, and is not taken from a file that others can read', async () => {
    expect(statSync(file).mode & 0o777).toBe(0o600);
    const open = join(folder, 'open.tls');
    writeFileSync(open, readFileSync(file), { mode: 0o644 });
    await expect(own({}, open)).rejects.toThrow(/chmod 600/);
    const torn = join(folder, 'torn.tls');
    writeFileSync(torn, readFileSync(file).subarray(0, 900), { mode: 0o600 });
    await expect(own({}, torn)).rejects.toThrow(/are damaged/);
  });

  it('serves TLS 1.2 or later, and goes over to a new one while it runs', async () => {
    const authority = await newAuthority('demo', [], Date.now());
    const [before, after] = [
      await newServerPair(authority, ['127.0.0.1'], Date.now()),
      await newServerPair(authority, ['127.0.0.1'], Date.now()),
    ];
    const app = new Hono();
    app.get('/', (c) => c.text('here'));
    const page = await listen(app, { port: 0, host: '127.0.0.1', secure: before }, String);
    const seen = (more: { maxVersion?: 'TLSv1.1' } = {}) =>
      new Promise<string>((resolve, reject) => {
        const place = { host: '127.0.0.1', port: page.port, ca: authority.cert };
        const socket = connect({ ...place, minVersion: 'TLSv1', ...more }, () => {
          resolve(new X509Certificate(socket.getPeerCertificate().raw).fingerprint256);
          socket.destroy();
        }).on('error', reject);
      });
    expect(await seen()).toBe(new X509Certificate(before.cert).fingerprint256);
    page.renew(after);
    expect(await seen()).toBe(new X509Certificate(after.cert).fingerprint256);
    await expect(seen({ maxVersion: 'TLSv1.1' })).rejects.toThrow();
    await page.close();
  });
});

describe('the authority', () => {
  const DAY_MS = 86_400_000;
  const fresh = (name: string) => join(folder, `${name}.tls`);

  it.each([
    ['begins in 1970', 0, /clock says 1970-01-01/],
    ['is before the last certificate', NOW - 30 * DAY_MS, undefined],
    ['is 28 years ahead', NOW + 28 * 365 * DAY_MS, /authority in .+ has ended on 20\d\d-/],
  ])('stays what every device trusts while the clock %s', async (_, nowMs, caution) => {
    const at = fresh(`clock-${nowMs}`);
    const before = await own({}, at);
    const wrong = await own({ nowMs }, at);
    expect(wrong.authority).toEqual(before.authority);
    if (caution) expect(wrong.cautions.join('\n')).toMatch(caution);
    else expect(wrong.cautions).toEqual([]);
    const after = await own({}, at);
    expect(after.authority).toEqual(before.authority);
    expect(after.cautions).toEqual([]);
    expect(openssl(after.cert, after.authority!.cert, 'lights.example.org')).toMatch(/OK/);
  });

  it.each([0, Date.UTC(2060, 5, 1)])('is good once the clock is right if it was made at %i', async (made) => {
    const at = fresh(`made-${made}`);
    const { authority } = await own({ nowMs: made }, at);
    const later = await own({}, at);
    expect(later.authority).toEqual(authority);
    expect(openssl(later.cert, authority!.cert, '192.168.1.20')).toMatch(/OK/);
  });

  it('is kept if it is not valid yet by the clock, with a sentence', async () => {
    const at = fresh('early');
    const authority = await newAuthority('demo', [], NOW);
    const server = await newServerPair(authority, ['localhost'], NOW);
    const later = new X509Certificate(authority.cert).validFrom;
    writeFileSync(at, [authority.cert, authority.key, server.cert, server.key].join(''), { mode: 0o600 });
    const early = await own({ names: ['localhost'], nowMs: Date.parse(later) - DAY_MS }, at);
    expect(early.authority?.cert).toBe(authority.cert);
    expect(early.cautions.join('\n')).toMatch(/clock/);
    // The devices have the right time.
    expect(early.cert).toBe(server.cert);
  });

  it('stays with each new address of the machine, and vouches for no public one that was not given', async () => {
    const at = fresh('addresses');
    const before = await own({}, at);
    const next = await own({ names: ['2001:db8::5', '203.0.113.9', '10.0.0.9', ...NAMES] }, at);
    expect(next.authority).toEqual(before.authority);
    expect(next.cautions).toEqual([]);
    const cert = new X509Certificate(next.cert);
    expect(cert.checkIP('10.0.0.9')).toBeDefined();
    expect(cert.checkIP('2001:db8::5')).toBeUndefined();
    expect(cert.checkIP('203.0.113.9')).toBeUndefined();
  });

  it('is made anew for a public name only where its file was moved away', async () => {
    const at = fresh('named');
    const before = await own({}, at);
    const [names, given] = [
      ['new.example.org', ...NAMES],
      ['new.example.org', '203.0.113.9'],
    ];
    const next = await own({ names, given }, at);
    expect(next.authority).toEqual(before.authority);
    expect(next.cautions.join('\n')).toMatch(/may not vouch for new\.example\.org.+move/);
    renameSync(at, `${at}.old`);
    const anew = await own({ names, given }, at);
    expect(anew.authority).not.toEqual(before.authority);
    expect(openssl(anew.cert, anew.authority!.cert, 'new.example.org')).toMatch(/OK/);
  });

  it.each([
    'feature.example.org',
    'fcschool.example.org',
    '10.example.org',
    '127.example.org',
    '203.0.113.9',
  ])('vouches for %s if it was given', async (name) => {
    const { cert, authority } = await own({ names: [name], given: [name] }, fresh(name));
    expect(openssl(cert, authority!.cert, name)).toMatch(/OK/);
  });

  it('is kept so that only its owner can read it, also over what an interrupted write left', async () => {
    const at = fresh('left');
    writeFileSync(`${at}.new`, 'left', { mode: 0o644 });
    await own({}, at);
    expect(statSync(at).mode & 0o777).toBe(0o600);
  });
});

describe('a stolen authority', () => {
  it.each(['bank.example.com', '203.0.113.9'])('is not believed for %s', async (name) => {
    const stolen = await newAuthority('demo', ['lights.example.org'], NOW);
    const forged = await newServerPair(stolen, [name], NOW);
    expect(openssl(forged.cert, stolen.cert, name)).toMatch(/permitted subtree violation/);
  });
});

describe('given files', () => {
  it('are refused in one sentence where they are missing or do not belong together, and may have ended', () => {
    const [cert, key] = ['given.pem', 'given.key'].map((one) => join(folder, one));
    expect(() => givenTls(cert, key, NOW)).toThrow(/cannot be read \(ENOENT\)/);
    writeFileSync(cert, tls.cert);
    writeFileSync(key, tls.key);
    expect(givenTls(cert, key, NOW)).toMatchObject({ cert: tls.cert, key: tls.key });
    expect(givenTls(cert, key, NOW).cautions).toEqual([]);
    expect(givenTls(cert, key, NOW + 2 * 365 * 86_400_000).cautions.join()).toMatch(/has ended/);
    writeFileSync(cert, tls.authority!.cert);
    expect(() => givenTls(cert, key, NOW)).toThrow(/does not belong/);
  });
});

describe('the certificates of a demonstration', () => {
  it('are kept from one start to the next in a folder of the user alone', async () => {
    const kept = demoTlsFile('museum', folder)!;
    const start = (db: string) =>
      makeTls({ site: { id: 'museum' }, host: '192.168.1.20', tlsFile: kept, db }, ['192.168.1.20'], NOW);
    const first = await start(join(folder, 'first.db'));
    expect(await start(join(folder, 'second.db'))).toEqual(first);
    expect(first.authority).toBeDefined();
    expect(statSync(join(folder, '.nightproof')).mode & 0o777).toBe(0o700);
    expect(statSync(kept).mode & 0o777).toBe(0o600);
    // Other addresses of the same machine are vouched for by the same authority.
    const moved = await makeTls(
      { site: { id: 'museum' }, host: '10.0.0.2', tlsFile: kept, db: join(folder, 'third.db') },
      ['10.0.0.2'],
      NOW,
    );
    expect(moved.authority).toEqual(first.authority);
  });

  it('have no such place in a home folder that cannot be written', () => {
    expect(demoTlsFile('museum', file)).toBeUndefined();
  });
});
