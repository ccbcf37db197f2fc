// The discovery messages, read as a platform reads them. The platform itself does not run here: its rules are taken from its
// published documentation (the pages on MQTT and MQTT binary sensors, 2022), and templates are rendered by another
// project's Jinja.
import { Template } from '@huggingface/jinja';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { loginOf } from '../../../host/broker/logins';
import { discoveryCount, HOST_CLIENT } from '../../../host/broker/parties';
import { discoveryMessages } from '../../../host/integrators/discovery';
import { RawClient } from '../../support/rawMqtt';
import { HOUSE } from '../house/site';
import { KEYS } from '../logbook/records';
import { HostBench } from './hostBench';

interface Config {
  unique_id: string;
  state_topic: string;
  value_template: string;
  availability?: { topic: string; value_template: string }[];
  device: { identifiers: string[]; via_device?: string; name: string };
}

/** "<discovery_prefix>/<component>/[<node_id>/]<object_id>/config", of letters, digits, "_" and "-". */
const TOPIC = /^homeassistant\/(binary_sensor|sensor)\/[a-zA-Z0-9_-]+\/[a-zA-Z0-9_-]+\/config$/;

const render = (template: string, text: string): string =>
  new Template(template).render({ value_json: JSON.parse(text) });

let bench: HostBench;
beforeEach(() => {
  bench = new HostBench();
});
afterEach(() => bench.end());

/** Finds things as a platform does: what each is, and its state as the platform would show it. */
async function platform(port: number) {
  const configs = new Map<string, Config>();
  const texts = new Map<string, string>();
  const client = await bench.enter(port, 'platform-home');
  let seen = 0;
  client.on('message', (topic, payload) => {
    const text = payload.toString();
    if (!topic.endsWith('/config')) {
      texts.set(topic, text);
      return;
    }
    seen++;
    expect(topic).toMatch(TOPIC);
    // "A configuration update with an empty payload will cause a previously discovered device to be deleted."
    if (text === '') {
      configs.delete(topic);
      return;
    }
    const config = JSON.parse(text) as Config;
    configs.set(topic, config);
    const topics = [config.state_topic, ...(config.availability ?? []).map((one) => one.topic)];
    client.subscribe(topics, { qos: 1 });
  });
  const granted = await client.subscribeAsync(['homeassistant/+/+/config', 'homeassistant/+/+/+/config'], {
    qos: 1,
  });
  expect(granted.map(({ qos }) => qos)).toEqual([1, 1]);
  return {
    ...{ client, configs, seen: () => seen },
    /** Its state; "unavailable" while the host is not there. */
    state(id: string): string {
      const config = [...configs.values()].find(({ unique_id }) => unique_id === `nightproof-demo-${id}`);
      if (!config) return 'not found';
      for (const { topic, value_template } of config.availability ?? [])
        if (render(value_template, texts.get(topic) ?? '{}') !== 'online') return 'unavailable';
      const text = texts.get(config.state_topic);
      return text === undefined ? 'unknown' : render(config.value_template, text);
    },
  };
}

describe.each(['the built-in broker', 'Mosquitto'])('on %s', (which) => {
  it('a platform finds every luminaire, and shows which has failed and whether the host is there', async () => {
    const outside = which === 'Mosquitto' ? await bench.mosquitto() : undefined;
    await bench.start(HOUSE, outside && bench.hostAt(outside.port), { discovery: 'homeassistant' });
    const port = outside?.port ?? bench.host?.brokerPort ?? 0;
    const { state, configs, client, seen } = await platform(port);
    await bench.testA(port);
    await expect.poll(() => state('luminaire-A-02-problem')).toBe('ON');
    await expect.poll(() => state('luminaire-A-01-problem')).toBe('OFF');
    // Nothing was heard of it: that is no good news.
    expect(state('luminaire-B-01-problem')).toBe('unknown');
    bench.nowMs += 151_000;
    await expect.poll(() => state('luminaire-B-01-problem')).toBe('None');
    expect(state('circuit-b-problem')).toBe('None');
    await expect.poll(() => state('circuit-a-problem')).toBe('OFF');
    expect(state('circuit-a-supply')).toBe('ON');
    expect(state('circuit-a-next-brief')).toMatch(/^2026-\d\d-\d\dT\d\d:\d\d:\d\d\+0\d:00$/);
    expect(state('host')).toBe('ON');
    expect(configs.size).toBe(discoveryCount(HOUSE));
    const before = seen();
    await client.publishAsync('homeassistant/status', 'online');
    await expect.poll(() => seen(), { timeout: 30_000 }).toBe(before + configs.size);
    if (!outside) return;
    await bench.stop();
    await expect.poll(() => state('luminaire-A-02-problem')).toBe('unavailable');
  });
});

it('is cleared where a luminaire has gone, and altogether once it is switched off', async () => {
  const broker = await bench.mosquitto();
  const discovery = { discovery: 'homeassistant' };
  await bench.start(HOUSE, bench.hostAt(broker.port), discovery);
  const { configs } = await platform(broker.port);
  await expect.poll(() => configs.size).toBe(discoveryCount(HOUSE));
  await bench.stop();
  const [a, b] = HOUSE.circuits;
  const smaller = { ...HOUSE, circuits: [{ ...a, luminaires: [a.luminaires[0]] }, b] };
  await bench.start(smaller, bench.hostAt(broker.port), discovery);
  await expect.poll(() => [...configs.keys()].some((topic) => topic.includes('A-02'))).toBe(false);
  expect(configs.size).toBe(discoveryCount(smaller));
  await bench.stop();
  await bench.start(smaller, bench.hostAt(broker.port));
  await expect.poll(() => configs.size).toBe(0);
});

it('tells of each thing once, with every text in one packet', () => {
  const long = 'Ä'.repeat(200);
  const [a, b] = HOUSE.circuits;
  const site = {
    ...HOUSE,
    circuits: [{ ...a, name: long, luminaires: [{ ...a.luminaires[0], place: long }] }, b],
  };
  const all = [...discoveryMessages(site, 'homeassistant')];
  const configs = all.map(([, text]) => JSON.parse(text) as Config);
  expect(new Set(configs.map(({ unique_id }) => unique_id)).size).toBe(all.length);
  expect(all.every(([topic, text]) => TOPIC.test(topic) && Buffer.byteLength(text) <= 4096)).toBe(true);
  const devices = new Set(configs.flatMap(({ device }) => device.identifiers));
  for (const { device } of configs) expect([undefined, ...devices]).toContain(device.via_device);
});

describe.each(['the built-in broker', 'Mosquitto'])('on %s', (which) => {
  it('a platform leaves nothing behind, however much it publishes', async () => {
    const outside = which === 'Mosquitto' ? await bench.mosquitto() : undefined;
    await bench.start(HOUSE, outside && bench.hostAt(outside.port), { discovery: 'homeassistant' });
    const port = outside?.port ?? bench.host?.brokerPort ?? 0;
    const login = { clientId: 'platform-home', ...loginOf(KEYS, 'platform-home') };
    for (const topic of ['junk-1234567/status', 'x/status', 'nightproof/status']) {
      const raw = await RawClient.joined({ port }, login);
      raw.publish(topic, 'x'.repeat(4096), 1, 1);
      // The built-in broker ends the connection.
      if (!outside) await raw.untilClosed();
      raw.close();
    }
    const host = await bench.enter(port, HOST_CLIENT);
    const heard: string[] = [];
    host.on('message', (topic) => void heard.push(topic));
    for (const topic of ['junk-1234567/status', 'x/status', '+/status', 'homeassistant/status'])
      await host.subscribeAsync(topic).catch(() => {});
    const home = await bench.enter(port, 'platform-home');
    await home.publishAsync('homeassistant/status', 'offline');
    await expect.poll(() => heard).toEqual(['homeassistant/status']);
  });
});

it.each([
  ['retained', 'online', true],
  ['of more than a few bytes', 'x'.repeat(65), false],
])('a birth message %s is refused by the built-in broker', async (_, text, retain) => {
  await bench.start(HOUSE, undefined, { discovery: 'homeassistant' });
  const home = await bench.enter(bench.host?.brokerPort ?? 0, 'platform-home');
  const gone = new Promise((resolve) => home.once('close', () => resolve('gone')));
  home.publish('homeassistant/status', text, { retain });
  expect(await gone).toBe('gone');
});

it('a platform may publish nothing where there is no discovery', async () => {
  await bench.start(HOUSE);
  const home = await bench.enter(bench.host?.brokerPort ?? 0, 'platform-home');
  const gone = new Promise((resolve) => home.once('close', () => resolve('gone')));
  home.publish('homeassistant/status', 'online');
  expect(await gone).toBe('gone');
});

it('only a platform may say that it listens, and only the host what there is', async () => {
  await bench.start(HOUSE, undefined, { discovery: 'homeassistant' });
  const port = bench.host?.brokerPort ?? 0;
  const [reader, home] = [await bench.enter(port, 'reader-desk'), await bench.enter(port, 'platform-home')];
  const isGranted = async (topic: string) =>
    (await reader.subscribeAsync(topic).catch(() => [{ qos: 128 }]))[0].qos < 128;
  expect(await isGranted('homeassistant/+/+/+/config')).toBe(false);
  const gone = new Promise((resolve) => home.once('close', () => resolve('gone')));
  home.publish('homeassistant/sensor/nightproof-demo/host/config', '', { retain: true });
  expect(await gone).toBe('gone');
});
