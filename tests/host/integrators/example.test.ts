// The programs in docs/examples, as an integrator starts them, on real hosts, brokers, webhooks and a real SMTP server.
import { type ChildProcess, spawn } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { type AddressInfo, createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { TestKind } from '../../../firmware/contract/codes';
import { loginOf } from '../../../host/broker/logins';
import { type KeyRing, openKeys, secretFileOf } from '../../../host/keys';
import { freePort } from '../../support/brokers';
import { KEYS } from '../logbook/records';
import { DAY, NIGHT, PASS } from './house';
import { servedLodge } from './servedLodge';
import { DEAD, testedBroker } from './testedBroker';
import { mailServer, receiver, type Stage, telling } from './told';

const HOST = 'The host of the emergency lighting';

let folder: string;
let stage: Stage;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-example-'));
  stage = { ends: [], problems: [] };
});
afterEach(async () => {
  for (const end of stage.ends.reverse()) await end();
  rmSync(folder, { recursive: true, force: true });
});

/** Starts a program of docs/examples, in a folder of its own. */
function start(name: string, args: string[] = [], env: NodeJS.ProcessEnv = {}): ChildProcess {
  const program = spawn(process.execPath, [resolve('docs/examples', name), ...args], {
    ...{ cwd: folder, stdio: ['ignore', 'pipe', 'pipe'], env: { ...process.env, ...env } },
  });
  program.stderr?.on('data', (bytes: Buffer) => stage.problems.push(bytes.toString()));
  stage.ends.push(() => program.kill('SIGKILL'));
  return program;
}

describe('the program that mails failures', () => {
  const FILE = 'mail-on-failure.mjs';

  const subjects = (mails: string[]) => mails.map((text) => /^Subject: (.*)\r$/m.exec(text)?.[1]);

  function mailing(url: string, keys: KeyRing, site: string, port: number, more: NodeJS.ProcessEnv = {}) {
    const { user, password } = loginOf(keys, 'reader-desk');
    return start(FILE, [], {
      ...{ BROKER: url, READER: user, READER_PASSWORD: password, SITE: site },
      ...{ SMTP: `smtp://127.0.0.1:${port}`, FROM: 'host@museum.example', TO: 'caretaker@museum.example' },
      ...more,
    });
  }

  it('is as short as it is said to be', () => {
    const lines = readFileSync(`docs/examples/${FILE}`, 'utf8').split('\n');
    expect(lines.filter((line) => /^[^/]/.test(line)).length).toBeLessThan(55);
  });

  it('mails what failed in words, once, after a refusal of the mail server and over its own restarts', async () => {
    let refusals = 3;
    const mail = await mailServer(stage, () => (refusals-- > 0 ? [450, 'busy'] : undefined));
    const { broker, test } = await testedBroker(stage);
    await test(NIGHT, PASS, DEAD);
    const program = mailing(broker.url, KEYS, 'demo', mail.port);
    await expect.poll(() => mail.mails.length).toBe(1);
    // Tried every 5 s, and said once.
    await expect.poll(() => stage.problems.join('')).toMatch(/^Mail: .*busy\s[\s\S]*Mail: back\n$/);
    expect(stage.problems.join('').match(/Mail:/g)).toHaveLength(2);
    expect(subjects(mail.mails)).toEqual(['Luminaire A-02 failed (corridor, Hall)']);
    expect(mail.mails[0]).toContain('The lamp was not lit 5 s after the supply was cut.');
    program.kill('SIGKILL');
    await test(NIGHT + 86400, DEAD, DEAD);
    mailing(broker.url, KEYS, 'demo', mail.port);
    await expect.poll(() => mail.mails.length).toBeGreaterThan(1);
    expect(subjects(mail.mails).slice(1)).toEqual([expect.stringMatching(/^Luminaire A-01 failed/)]);
  });

  it('says once that the broker is away, however often it tries, and once that it is back', async () => {
    let asked = 0;
    // CONNACK of MQTT 3.1.1, 3.2.2.3: server unavailable, then accepted.
    const server = createServer((socket) => {
      socket.on('error', () => {});
      socket.once('data', () => socket.write(Buffer.from([0x20, 2, 0, ++asked > 3 ? 0 : 3])));
    });
    await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
    stage.ends.push(() => void server.close());
    const { port } = server.address() as AddressInfo;
    mailing(`mqtt://127.0.0.1:${port}`, KEYS, 'demo', 9);
    await expect.poll(() => stage.problems.join('')).toMatch(/Broker: back\n$/);
    expect(asked).toBe(4);
    expect(stage.problems.join('').match(/Broker:/g)).toHaveLength(2);
  });

  it('mails that the host is silent, killed or held up with the broker in it, and that it is back', async () => {
    const mail = await mailServer(stage);
    const { db, port, serve } = await servedLodge(stage, folder);
    const first = await serve();
    const begin = () =>
      mailing(`mqtt://127.0.0.1:${port}`, openKeys(secretFileOf(db)), 'lodge', mail.port, {
        SILENT_SECONDS: '20',
      });
    const program = begin();
    await new Promise((heard) => program.stdout?.once('data', heard));
    await first.end('SIGKILL');
    await expect.poll(() => subjects(mail.mails)).toEqual([`${HOST} is silent`]);
    // Killed before it has noted what it told, it tells it again.
    const told = join(folder, 'told.json');
    await expect.poll(() => (existsSync(told) ? readFileSync(told, 'utf8') : '')).toContain('"host"');
    program.kill('SIGKILL');
    begin();
    const second = await serve();
    await expect.poll(() => subjects(mail.mails)).toEqual([`${HOST} is silent`, `${HOST} is back`]);
    void second.end('SIGSTOP');
    await expect.poll(() => subjects(mail.mails).slice(2)).toEqual([`${HOST} is silent`]);
  });
});

describe('the program that prints what comes to a webhook', () => {
  it('prints an alarm and its end, and refuses what it cannot read', async () => {
    const port = await freePort();
    const program = start('alarm-receiver.mjs', [String(port)]);
    let printed = '';
    program.stdout?.setEncoding('utf8').on('data', (text: string) => {
      printed += text;
    });
    await expect.poll(() => printed).toBe(`Waiting for alarms at http://127.0.0.1:${port}/alarm\n`);
    const house = await telling(stage, { webhooks: [{ url: `http://127.0.0.1:${port}/alarm` }] });
    await house.result('a', TestKind.Brief, NIGHT + 60, PASS, DEAD);
    house.look(NIGHT + 200);
    const alarm = 'Demonstration house: luminaire failed, A-02 (corridor, Hall). The lamp was not lit 5 s';
    await expect.poll(() => printed).toContain(`\nALARM ${alarm}`);
    expect((await fetch(`http://127.0.0.1:${port}/alarm`)).status).toBe(400);
    await house.result('a', TestKind.Brief, NIGHT + DAY, PASS, PASS);
    house.look(NIGHT + DAY);
    await expect.poll(() => printed).toContain(`\nOVER ${alarm}`);
    expect(stage.problems).toEqual([]);
  });
});

it('the message shown in the document is what a webhook gets', async () => {
  const hook = await receiver(stage);
  const house = await telling(stage, { webhooks: [{ url: hook.url }] });
  await house.result('a', TestKind.Brief, NIGHT + 60, PASS, DEAD);
  house.look(NIGHT + 200);
  await expect.poll(() => hook.got.length).toBe(1);
  const shown = /```json\n([\s\S]*?)```/.exec(readFileSync('docs/integrators.md', 'utf8'))?.[1] ?? '';
  expect(JSON.parse(shown)).toEqual(JSON.parse(hook.got[0].body));
});
