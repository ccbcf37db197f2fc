// The status topics as a reader sees them on real brokers: what is told, what is cleared, and what is left of it when
// the host is gone.
import { type AddressInfo, connect, createServer, type Socket } from 'node:net';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { StatusOf } from '../../../host/integrators/schema';
import { HOUSE } from '../house/site';
import { HostBench } from './hostBench';
import { expectValid } from './valid';

const STATUS = 'nightproof/demo/status';

let bench: HostBench;
beforeEach(() => {
  bench = new HostBench();
});
afterEach(() => bench.end());

/** Stands between the host and a broker; `cut` ends all connections. */
async function wireTo(port: number): Promise<{ port: number; cut(): void }> {
  const sockets = new Set<Socket>();
  const server = createServer((near) => {
    const far = connect(port, '127.0.0.1');
    for (const [one, other] of [
      [near, far],
      [far, near],
    ]) {
      sockets.add(one);
      one.pipe(other);
      one.on('error', () => other.destroy());
      one.on('close', () => other.destroy());
    }
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const cut = (): void => {
    for (const socket of sockets) socket.destroy();
    sockets.clear();
  };
  bench.ends.push(() => server.close(), cut);
  return { port: (server.address() as AddressInfo).port, cut };
}

/** Everything a reader is told, by topic below `status`; each message fits its schema. */
async function read(port: number) {
  const told = new Map<string, Record<string, unknown>>();
  const history: string[] = [];
  const client = await bench.enter(port, 'reader-desk');
  client.on('message', (topic, payload) => {
    const name = topic.slice(STATUS.length + 1);
    const text = payload.toString();
    history.push(name === 'host' ? `${name} ${JSON.parse(text).online}` : name);
    if (text === '') {
      told.delete(name);
      return;
    }
    const message = JSON.parse(text) as Record<string, unknown>;
    expectValid(name.split('/')[0] as StatusOf, message);
    told.set(name, message);
  });
  await client.subscribeAsync(
    ['host', 'building', 'circuit/+', 'luminaire/+'].map((of) => `${STATUS}/${of}`),
    { qos: 1 },
  );
  return { told, history };
}

describe.each(['the built-in broker', 'Mosquitto'])('on %s', (which) => {
  it('tells a reader in words what failed, keeps it for those who come later, and says when the host goes', async () => {
    const outside = which === 'Mosquitto' ? await bench.mosquitto() : undefined;
    await bench.start(HOUSE, outside && bench.hostAt(outside.port));
    const port = outside?.port ?? bench.host?.brokerPort ?? 0;
    const { told } = await read(port);
    await bench.testA(port);
    await expect
      .poll(() => told.get('luminaire/A-02'))
      .toMatchObject({
        ...{ verdict: 'fail', place: 'corridor', since: '2026-02-02T03:40:00+01:00' },
        reason: { code: 1, words: 'The lamp was not lit 5 s after the supply was cut.' },
      });
    expect(told.get('luminaire/A-01')).toMatchObject({ verdict: 'pass', reason: null });
    // Of what has not been heard yet nothing is said, until it has had the time to report.
    expect(told.has('luminaire/B-01')).toBe(false);
    bench.nowMs += 151_000;
    await expect
      .poll(() => told.get('building'))
      .toMatchObject({
        ...{ verdict: 'fail', luminaires: { pass: 1, fail: 1, notProven: 1 }, openDefects: 1 },
      });
    expect(told.get('circuit/b')).toMatchObject({ contact: 'never heard', verdicts: { notProven: 1 } });
    expect(told.get('host')).toMatchObject({ online: true });
    if (outside) await bench.stop();
    if (outside) await expect.poll(() => told.get('host')).toMatchObject({ online: false, at: null });
  });
});

it('says by the last will that the broker has lost the host, and tells everything again afterwards', async () => {
  const broker = await bench.mosquitto();
  const wire = await wireTo(broker.port);
  const { told, history } = await read(broker.port);
  await bench.start(HOUSE, bench.hostAt(wire.port));
  await bench.testA(broker.port);
  await expect.poll(() => told.get('luminaire/A-02')).toMatchObject({ verdict: 'fail' });
  const before = history.length;
  await new Promise((resolve) => setTimeout(resolve, 3000));
  // Nothing is repeated while nothing changes.
  expect(history.slice(before).filter((name) => name.startsWith('luminaire'))).toEqual([]);
  wire.cut();
  await expect.poll(() => history.slice(before)).toContain('host false');
  await expect.poll(() => told.get('host')).toMatchObject({ online: true });
  await expect.poll(() => history.slice(before)).toContain('luminaire/A-02');
});

it('clears the topics of what a changed site no longer has', async () => {
  const broker = await bench.mosquitto();
  const url = bench.hostAt(broker.port);
  await bench.start(HOUSE, url);
  await bench.testA(broker.port);
  const { told } = await read(broker.port);
  await expect.poll(() => [...told.keys()]).toContain('luminaire/A-02');
  await bench.stop();
  const [a, b] = HOUSE.circuits;
  await bench.start({ ...HOUSE, circuits: [{ ...a, luminaires: [a.luminaires[0]] }, b] }, url);
  await expect.poll(() => [...told.keys()]).not.toContain('luminaire/A-02');
  expect([...told.keys()]).toContain('luminaire/A-01');
});
