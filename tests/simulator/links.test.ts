// The links of simulated controllers on a real broker.
import { connectAsync } from 'mqtt';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { LiveLinks } from '../../simulator/links';
import { type MosquittoBroker, startMosquitto } from '../support/brokers';
import { Estate } from './estate';

let broker: MosquittoBroker;
beforeEach(async () => {
  broker = await startMosquitto();
});
afterEach(() => broker.stop());

it('gives a link a turn only while it has something to do', async () => {
  const { fleet, node } = new Estate({ slots: [] });
  const host = await connectAsync(broker.url);
  const heard: string[] = [];
  host.on('message', (topic) => heard.push(topic.split('/').at(-1) as string));
  await host.subscribeAsync('nightproof/#');
  let turns = 0;
  const links = new LiveLinks({
    ...{ fleet, broker: { host: '127.0.0.1', port: broker.port } },
    times: { liveMs: 0, heartbeatSec: 3600, keepAliveSec: 0 },
    onTurn: () => turns++,
  });
  const journal = node.controller?.journal;
  await expect
    .poll(() => {
      links.turn();
      return journal && journal.sendSeq > journal.last && heard.includes('state');
    })
    .toBe(true);
  expect(turns).toBeGreaterThan(0);
  links.turn();
  turns = 0;
  for (let n = 0; n < 100; n++) links.turn();
  expect(turns).toBe(0);
  links.close();
  await host.endAsync();
});
