// The files of the built-in broker's second place: what is taken, and the one sentence for what cannot be.
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it, vi } from 'vitest';
import { type BrokerTlsFlags, brokerTlsOf } from '../../../host/cli/brokerTls';
import { certificatesIn } from '../../support/certificates';

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-broker-tls-'));
  const { makeAuthority, makeCertificate } = certificatesIn(folder);
  makeAuthority('ca');
  makeCertificate('broker', 'ca');
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const asked = (more: Partial<BrokerTlsFlags>, isFirst = true, nowMs = Date.now()) =>
  brokerTlsOf({ brokerTlsPort: 8883, ...more }, () => isFirst, nowMs);

/** What is told on the way. */
async function told<T>(work: () => Promise<T>): Promise<{ given: T; lines: string }> {
  const write = vi.spyOn(process.stderr, 'write').mockReturnValue(true);
  try {
    const given = await work();
    return { given, lines: write.mock.calls.map(([line]) => line).join('') };
  } finally {
    write.mockRestore();
  }
}

it('takes the certificate of the broker, and an authority of clients only where one is named', async () => {
  expect(await asked({})).toEqual({});
  const { brokerTls: plain } = await asked({ brokerTls: folder });
  expect(plain).toMatchObject({ port: 8883, cert: expect.stringContaining('CERTIFICATE') });
  expect(plain).not.toHaveProperty('clients');
  const { brokerTls } = await asked({ brokerTls: folder, brokerClients: join(folder, 'ca.pem') });
  expect(brokerTls?.clients).toContain('CERTIFICATE');
});

it('says in one sentence what cannot be used', async () => {
  const wrong: [Partial<BrokerTlsFlags>, RegExp][] = [
    [{ brokerClients: 'ca.pem' }, /^--broker-clients needs --broker-tls: [^\n]*\.$/],
    [
      { brokerTls: folder, broker: 'mqtt://192.0.2.7' },
      /^--broker-tls is for the built-in broker, [^\n]*\.$/,
    ],
    [{ brokerTls: join(folder, 'none') }, /broker\.pem cannot be read \(ENOENT\); [^\n]*\.$/],
    // A certificate of a broker is no authority: nobody could show one of it.
    [
      { brokerTls: folder, brokerClients: join(folder, 'broker.pem') },
      /^--broker-clients [^\n]*: there is no certificate of an authority; [^\n]*\.$/,
    ],
  ];
  for (const [flags, sentence] of wrong) await expect(asked(flags)).rejects.toThrow(sentence);
});

const DAY_MS = 86_400_000;
const inDays = (days: number): number => Date.now() + days * DAY_MS;

it('refuses an ended certificate at the first start only; later the clients judge it by their own clocks', async () => {
  await expect(asked({ brokerTls: folder }, true, inDays(61))).rejects.toThrow(/has ended on [^\n]*\.$/);
  const { given, lines } = await told(() => asked({ brokerTls: folder }, false, inDays(61)));
  expect(given.brokerTls?.cert).toContain('CERTIFICATE');
  expect(lines).toMatch(/^By this machine's clock the certificate \S+broker\.pem has ended on [^\n]*\.\n$/);
});

it('says from 30 days before that a certificate ends, that of the authority too', async () => {
  const flags = { brokerTls: folder, brokerClients: join(folder, 'ca.pem') };
  expect((await told(() => asked(flags, false, inDays(-1)))).lines).not.toContain('broker.pem');
  const { lines } = await told(() => asked(flags, false, inDays(29)));
  expect(lines).toMatch(/broker\.pem ends on [^\n]*\.\n.*ca\.pem ends on [^\n]*\.\n$/);
});

it('lets a later start go on without what cannot be used, and readers in nowhere where they must show certificates', async () => {
  const none = join(folder, 'none');
  const plain = await told(() => asked({ brokerTls: none }, false));
  expect(plain.given).toEqual({ shutsReaders: false });
  expect(plain.lines).toMatch(
    /^The broker is not served by TLS: \S+broker\.pem cannot be read \(ENOENT\); [^\n]*\.\n$/,
  );
  const broken = join(folder, 'broken.pem');
  writeFileSync(broken, 'nothing');
  const flags: Partial<BrokerTlsFlags>[] = [
    { brokerTls: none, brokerClients: join(folder, 'ca.pem') },
    { brokerTls: folder, brokerClients: broken },
  ];
  for (const one of flags) {
    const { given, lines } = await told(() => asked(one, false));
    expect(given).toEqual({ shutsReaders: true });
    expect(lines).toContain('Readers and platforms, which must show a certificate there, are shut out.');
  }
});
