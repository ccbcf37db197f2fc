// `simulate --broker`: what any client of that broker hears of simulated controllers.
import { connectAsync } from 'mqtt';
import { afterAll, beforeAll, expect, it } from 'vitest';
import type { StateMessage } from '../../firmware/contract/messages';
import { type MosquittoBroker, passwordFile, startMosquitto } from '../support/brokers';
import { run } from './support/cli';

let broker: MosquittoBroker;
beforeAll(async () => {
  broker = await startMosquitto();
});
afterAll(() => broker.stop());

it('publishes for a day as real clients to a real broker, and every record reaches the log book', async () => {
  const heard = new Map<string, string[]>();
  const client = await connectAsync(broker.url);
  client.on('message', (topic, payload) => {
    heard.set(topic, [...(heard.get(topic) ?? []), payload.toString()]);
  });
  await client.subscribeAsync('nightproof/estate/#');
  const outcome = await run(
    ...['simulate', '--days', '1', '--estate', '2x3', '--json'],
    ...['--broker', broker.url, '--pace', '3600'],
  );
  await client.endAsync();
  expect(outcome).toMatchObject({ code: 0, stderr: '' });
  expect(JSON.parse(outcome.stdout)).toMatchObject({
    ...{ controllerDays: 2, violations: 0, recordsWritten: 2, recordsInLogbook: 2, chainValid: true },
  });
  for (const circuit of ['h1-f0a', 'h1-f0b']) {
    const of = (kind: string) => heard.get(`nightproof/estate/${circuit}/${kind}`) ?? [];
    expect(of('presence')[0]).toContain('"online":1');
    expect(of('record')[0]).toContain('"kind":"start"');
    expect(of('plan').length).toBeGreaterThan(0);
    const last = JSON.parse(of('state').at(-1) as string) as StateMessage;
    // A day at 3,600 simulated seconds per second.
    expect(last).toMatchObject({ boot: 1, last: 1, acked: 1 });
    expect(last.up).toBeGreaterThan(70_000_000);
  }
});

it('ends with one sentence at a broker that wants passwords', async () => {
  const strict = await startMosquitto({ passwordFile: passwordFile({ somebody: 'else' }) });
  try {
    const outcome = await run(...['simulate', '--days', '1', '--estate', '1x1', '--broker', strict.url]);
    expect(outcome).toMatchObject({ code: 1, stdout: '' });
    expect(outcome.stderr).toMatch(
      /^The broker at [^\n]+ refuses nightproof-host [^\n]+ lets anybody in\.\n$/,
    );
  } finally {
    await strict.stop();
  }
});
