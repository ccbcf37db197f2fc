// The nodes of several buildings on a real broker, read by the decoder of the Eclipse Tahu project (sparkplug-payload).
import mqtt from 'mqtt';
import sparkplug from 'sparkplug-payload';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { type MosquittoBroker, startMosquitto } from '../../../support/brokers';
import { SeveralBench } from '../severalBench';

const { decodePayload } = sparkplug.get('spBv1.0')!;
type UPayload = ReturnType<typeof decodePayload>;

let bench: SeveralBench;
let broker: MosquittoBroker;
let heard: { topic: string; payload: UPayload }[];

beforeEach(async () => {
  bench = new SeveralBench();
  broker = await startMosquitto();
  heard = [];
  const listener = await mqtt.connectAsync(broker.url, { protocolVersion: 4 });
  listener.on('message', (topic, bytes) => heard.push({ topic, payload: decodePayload(bytes) }));
  await listener.subscribeAsync('spBv1.0/#', { qos: 1 });
  bench.ends.push(() => broker.kill());
  bench.ends.push(() => listener.endAsync(true));
});
afterEach(() => bench.end());

const topics = () => heard.map(({ topic }) => topic);
const bdSeq = (topic: string) => {
  const { metrics } = heard.filter((one) => one.topic === topic).at(-1)!.payload;
  return Number(String(metrics?.find(({ name }) => name === 'bdSeq')?.value));
};

it('is a node of its own for each building, whose death is that of no other', async () => {
  for (const id of ['east', 'west']) bench.site(id);
  await bench.start(['east', 'west'], { sparkplug: { url: broker.url, group: 'plant' } });
  await expect
    .poll(() => topics().sort())
    .toEqual(['spBv1.0/plant/NBIRTH/east', 'spBv1.0/plant/NBIRTH/west']);
  await bench.report('west');
  await expect.poll(topics).toContain('spBv1.0/plant/DBIRTH/west/one');
  // Served no more, it dies with the number of its birth; the other goes on.
  await bench.host?.slots[1].stop();
  await expect.poll(topics).toContain('spBv1.0/plant/NDEATH/west');
  expect(bdSeq('spBv1.0/plant/NDEATH/west')).toBe(bdSeq('spBv1.0/plant/NBIRTH/west'));
  await bench.report('east');
  await expect.poll(topics).toContain('spBv1.0/plant/DBIRTH/east/one');
  expect(topics()).not.toContain('spBv1.0/plant/NDEATH/east');
  // All of them with the host.
  await bench.host?.stop();
  await expect.poll(topics).toContain('spBv1.0/plant/NDEATH/east');
});

it('bears no node for a building that cannot be served, and one once it is', async () => {
  bench.site('east');
  bench.site('west', 'id: west\n');
  await bench.start(['east', 'west'], { sparkplug: { url: broker.url, group: 'plant' } });
  await expect.poll(topics).toEqual(['spBv1.0/plant/NBIRTH/east']);
  bench.site('west');
  await expect.poll(topics).toEqual(['spBv1.0/plant/NBIRTH/east', 'spBv1.0/plant/NBIRTH/west']);
});
