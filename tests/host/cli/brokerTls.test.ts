// The files of the built-in broker's second place: what is taken, and the one sentence for what cannot be.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
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

const asked = (more: Partial<BrokerTlsFlags>) => brokerTlsOf({ brokerTlsPort: 8883, ...more });

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
