// `npm start`, as a person meets it: the page's address, the whole job at work, and a clean end.
import { mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { request } from 'node:https';
import { type AddressInfo, connect, createServer, type Server } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { connectAsync } from 'mqtt';
import { afterEach, beforeEach, expect, it } from 'vitest';
import type { LogbookView, LogEntryView, StatusView } from '../../host/api/views';
import { PACE } from '../../simulator/live';
import { receiver, type Stage } from '../host/integrators/told';
import { freePort } from '../support/brokers';
import { Command } from './support/cli';

let folder: string;
let demo: Command | undefined;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-start-'));
});
afterEach(async () => {
  await demo?.end('SIGKILL');
  demo = undefined;
  rmSync(folder, { recursive: true, force: true });
});

/** Starts the demonstration with its own folder for temporary files. */
function start(port: number, ...more: string[]): Command {
  demo = new Command(['demo', '--port', String(port), ...more], { TMPDIR: folder, HOME: folder });
  return demo;
}

/** What the demonstration has left in its folder for temporary files. */
function left(): string[] {
  return readdirSync(folder).filter((name) => name.startsWith('nightproof'));
}

async function ask<T>(url: string): Promise<T> {
  const answer = await fetch(url);
  expect(answer.status).toBe(200);
  return (await answer.json()) as T;
}

function failedTest(entries: LogEntryView[]): LogEntryView | undefined {
  return entries.find((entry) => entry.kind === 'result' && entry.mark === 'fail');
}

it('shows a test begun, a luminaire failed and mains restored, and ends on Ctrl-C', async () => {
  const port = await freePort();
  const running = start(port);
  const [, url] = await running.saying(/Page: +(http:\S+)/);
  expect(new URL(url).port).toBe(String(port));
  const status = await ask<StatusView>(`${url}/api/status`);
  expect(status.controllers).toHaveLength(13);
  expect(status.speed).toBeGreaterThan(1);
  const opened = (await ask<LogbookView>(`${url}/api/logbook?limit=1`)).entries[0].entry;
  const news = async (): Promise<LogEntryView[]> => {
    const { entries } = await ask<LogbookView>(`${url}/api/logbook?limit=200`);
    return entries.filter((entry) => entry.entry > opened);
  };
  const often = { interval: 200 };
  await expect.poll(async () => failedTest(await news()), often).toBeDefined();
  const entries = await news();
  const failed = failedTest(entries)!;
  expect(entries.some((entry) => entry.kind === 'intent' && entry.circuit === failed.circuit)).toBe(true);
  // At the slowest pace, at most a minute after the page opens.
  expect(failed.at - status.now).toBeLessThan(60 * PACE.brief);
  expect(failed.text).toMatch(/1 of \d luminaires failed\. .+: The lamp was not lit/);
  // Proven back: the time from the order until the supply is seen again.
  expect((JSON.parse(failed.body) as { restoreMs: number }).restoreMs).toBeGreaterThanOrEqual(0);
  const circuit = async () => {
    const { controllers } = await ask<StatusView>(`${url}/api/status`);
    return controllers.find((c) => c.circuit === failed.circuit);
  };
  await expect.poll(circuit, often).toMatchObject({ supplyAfter: true, relayOpen: false });
  const chain = async () => (await ask<LogbookView>(`${url}/api/logbook?limit=1`)).chain;
  await expect.poll(async () => (await chain()).at, often).toBeGreaterThan(0);
  expect((await chain()).broken).toBeNull();

  expect(left()).toHaveLength(1);
  const outcome = await running.end('SIGINT');
  expect(outcome).toMatchObject({ code: 0, signal: null, stderr: '' });
  expect(outcome.stdout).toMatch(/Stopped\.\n$/);
  expect(outcome.stdout).toContain('For your phone: Ctrl-C, then npm start -- --host\n');
  expect(left()).toEqual([]);
});

it('ends what it says on a network with the address and the code for the phone, which let somebody in', async () => {
  const port = await freePort();
  const running = start(port, '--host', '0.0.0.0');
  const [, url, code] = await running.saying(
    /Phone: +(https:\S+) .+\n +Your code \(until you stop this program\): +(\S+)\n$/,
  );
  expect(url).toMatch(new RegExp(`:${port}$`));
  const wish = { account: 'mick', name: 'Mick Tarn', password: 'five llamas hum at dusk' };
  const body = JSON.stringify({ ...wish, code: code.toLowerCase().replaceAll('-', '') });
  const headers = { host: `localhost:${port}`, 'content-type': 'application/json' };
  // As whoever has passed the browser's warning.
  const place = {
    host: '127.0.0.1',
    port,
    path: '/api/session/code',
    headers,
    method: 'POST',
    rejectUnauthorized: false,
  };
  const status = await new Promise<number | undefined>((resolve, reject) => {
    request(place, (answer) => resolve(answer.resume().statusCode))
      .on('error', reject)
      .end(body);
  });
  expect(status).toBe(200);
  expect((await running.end('SIGINT')).code).toBe(0);
});

it("reaches an integrator's client and webhook with a live failure, and serves numbers and registers", async () => {
  const stage: Stage = { ends: [], problems: [] };
  const hook = await receiver(stage);
  const alerts = join(folder, 'alerts.yaml');
  writeFileSync(alerts, `webhooks:\n  - url: ${hook.url}/alarm\n`);
  const [port, broker, numbers, modbus] = await Promise.all([1, 2, 3, 4].map(() => freePort()));
  const running = start(
    port,
    ...['--broker-port', String(broker), '--reader', 'frame', '--alerts', alerts],
    ...['--metrics', String(numbers), '--modbus', String(modbus)],
  );
  const [, url, username, password] = await running.saying(/MQTT: +(mqtt:\S+), user (\S+), password (\S+) /);
  expect([new URL(url).port, username]).toEqual([String(broker), 'reader-frame']);
  const client = await connectAsync(url, { clientId: username, username, password });
  const failed = new Set<string>();
  client.on('message', (_topic, payload) => {
    const { verdict, luminaire } = JSON.parse(payload.toString()) as { verdict: string; luminaire: string };
    if (verdict === 'fail') failed.add(luminaire);
  });
  await client.subscribeAsync('nightproof/hollinsea-tides/status/luminaire/+', { qos: 1 });
  try {
    await expect.poll(() => hook.events().map(({ what }) => what)).toContain('luminaire failed');
    const { luminaire } = hook.events().find(({ what }) => what === 'luminaire failed')!;
    await expect.poll(() => [...failed]).toContain(luminaire);
    expect(await (await fetch(`http://127.0.0.1:${numbers}/metrics`)).text()).toContain(
      `luminaire="${luminaire}"`,
    );
    await new Promise<void>((resolve, reject) => {
      const socket = connect(modbus, '127.0.0.1', () => resolve(void socket.destroy())).once('error', reject);
    });
  } finally {
    await client.endAsync(true);
  }
  // The receiver is there until the host has ended, which would otherwise say that it cannot tell it.
  expect(await running.end('SIGINT')).toMatchObject({ code: 0, stderr: '' });
  await hook.close();
});

it('leaves nothing behind if interrupted during the fast run', async () => {
  const running = start(await freePort());
  await running.saying(/days first/);
  expect(await running.end('SIGINT')).toMatchObject({ code: 0, stderr: '' });
  expect(left()).toEqual([]);
});

it('says in one sentence that its port is taken, and leaves nothing behind', async () => {
  const taken: Server = createServer();
  await new Promise<void>((resolve) => taken.listen(0, '127.0.0.1', resolve));
  const { port } = taken.address() as AddressInfo;
  try {
    const outcome = await start(port).ended;
    expect(outcome.code).toBe(1);
    expect(outcome.stderr).toMatch(/^The page cannot be served on 127\.0\.0\.1 port \d+: .+--port\.\n$/);
    expect(left()).toEqual([]);
  } finally {
    taken.close();
  }
});
