// The program in docs/examples, as an integrator starts it, on a real host and a real SMTP server.
import { spawn } from 'node:child_process';
import { readFileSync } from 'node:fs';
import type { AddressInfo } from 'node:net';
import mqtt from 'mqtt';
import { SMTPServer } from 'smtp-server';
import { afterEach, expect, it } from 'vitest';
import { Reason, TestKind } from '../../../firmware/contract/codes';
import { startBroker } from '../../../host/broker/broker';
import { loginOf } from '../../../host/broker/logins';
import { HOST_CLIENT } from '../../../host/broker/parties';
import { circuitMessages } from '../../../host/integrators/status';
import { HOUSE } from '../house/site';
import { KEYS } from '../logbook/records';
import { NIGHT, newTestedHouse, PASS } from './house';

const FILE = 'docs/examples/mail-on-failure.mjs';
const ends: (() => unknown)[] = [];

afterEach(async () => {
  for (const end of ends.splice(0).reverse()) await end();
});

it('mails what failed, in words and once, and is as short as it is said to be', async () => {
  expect(
    readFileSync(FILE, 'utf8')
      .split('\n')
      .filter((line) => /^[^/]/.test(line)).length,
  ).toBeLessThan(36);
  const mails: string[] = [];
  const server = new SMTPServer({
    ...{ authOptional: true, disabledCommands: ['AUTH', 'STARTTLS'], logger: false },
    onData(stream, _session, done) {
      let text = '';
      stream.on('data', (bytes: Buffer) => {
        text += bytes.toString();
      });
      stream.on('end', () => {
        mails.push(text);
        done();
      });
    },
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  ends.push(() => new Promise<void>((resolve) => server.close(resolve)));
  const controllers = HOUSE.circuits.map(({ id }) => id);
  const broker = await startBroker({ port: 0, site: 'demo', controllers, keys: KEYS, isOpen: false });
  ends.push(() => broker.close());
  const { user: username, password } = loginOf(KEYS, HOST_CLIENT);
  const host = await mqtt.connectAsync(broker.url, {
    ...{ clientId: `${HOST_CLIENT}-1`, username, password, protocolVersion: 4 },
  });
  ends.push(() => host.endAsync(true));
  const tested = await newTestedHouse();
  const DEAD = [2, Reason.NotLitAtFiveSeconds, 0, 0, 0, 0, 0];
  await tested.result('a', TestKind.Brief, NIGHT, PASS, DEAD);
  const tell = () =>
    Promise.all(
      circuitMessages(HOUSE, tested.house, 'a', NIGHT).luminaires.map((one) =>
        host.publishAsync(`nightproof/demo/status/luminaire/${one.luminaire}`, JSON.stringify(one), {
          ...{ qos: 1, retain: true },
        }),
      ),
    );
  await tell();
  const reader = loginOf(KEYS, 'reader-desk');
  const program = spawn(process.execPath, [FILE], {
    stdio: ['ignore', 'ignore', 'inherit'],
    env: {
      ...process.env,
      ...{ BROKER: broker.url, READER: reader.user, READER_PASSWORD: reader.password, SITE: 'demo' },
      SMTP: `smtp://127.0.0.1:${(server.server.address() as AddressInfo).port}`,
      ...{ FROM: 'host@museum.example', TO: 'caretaker@museum.example' },
    },
  });
  ends.push(() => program.kill());
  await expect.poll(() => mails.length).toBe(1);
  await tell();
  await new Promise((resolve) => setTimeout(resolve, 300));
  expect(mails.length).toBe(1);
  expect(mails[0]).toContain('Subject: Luminaire A-02 failed (corridor, Hall)');
  expect(mails[0]).toContain('The lamp was not lit 5 s after the supply was cut.');
});
