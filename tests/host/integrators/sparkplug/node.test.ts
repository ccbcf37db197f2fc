// The Sparkplug node on a real broker, read by the decoder of the Eclipse Tahu project (sparkplug-payload), which is not the
// one that wrote it. Titles are named in docs/sparkplug.md.
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import mqtt, { type MqttClient } from 'mqtt';
import sparkplug from 'sparkplug-payload';
import proto from 'sparkplug-payload/lib/sparkplugPayloadProto.js';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { type Sparkplug, startSparkplug } from '../../../../host/integrators/sparkplug/node';
import { Session } from '../../../../host/integrators/sparkplug/session';
import { circuitMessages } from '../../../../host/integrators/status';
import { type MosquittoBroker, startMosquitto } from '../../../support/brokers';
import { HOUSE } from '../../house/site';
import { HostBench } from '../hostBench';
import { NIGHT, newTestedHouse } from '../house';

const { decodePayload, encodePayload } = sparkplug.get('spBv1.0')!;
type UPayload = ReturnType<typeof decodePayload>;
type UMetric = NonNullable<UPayload['metrics']>[number];

interface Heard {
  topic: string;
  verb: string;
  qos: number;
  retain: boolean;
  payload: UPayload;
  bytes: Buffer;
}

const named = ({ metrics }: UPayload, name: string): UMetric | undefined =>
  metrics?.find((one) => one.name === name);
const number = (value: unknown): number => Number(String(value));

let broker: MosquittoBroker;
let listener: MqttClient;
let heard: Heard[];
let nodes: Sparkplug[];
let memory: Map<string, string>;

beforeEach(async () => {
  broker = await startMosquitto();
  listener = await mqtt.connectAsync(`mqtt://127.0.0.1:${broker.port}`, { protocolVersion: 4 });
  [heard, nodes, memory] = [[], [], new Map()];
  listener.on('message', (topic, bytes, { qos, retain }) => {
    const verb = topic.split('/')[2];
    if (topic.includes('/STATE/') || verb === 'NCMD') return;
    heard.push({ topic, verb, qos, retain, payload: decodePayload(bytes), bytes });
  });
  await listener.subscribeAsync('spBv1.0/#', { qos: 1 });
});
afterEach(async () => {
  for (const { verb, qos, retain, payload } of heard) {
    expect([qos, retain]).toEqual([verb === 'NDEATH' ? 1 : 0, false]);
    expect(number(payload.timestamp)).toBeGreaterThanOrEqual(NIGHT * 1000);
    expect(payload.seq === undefined || payload.seq === null).toBe(verb === 'NDEATH');
  }
  for (const node of nodes) await node.close();
  await listener.endAsync(true);
  await broker.kill();
});

function start(more: { primary?: string; port?: number } = {}): Sparkplug {
  const { port = broker.port, ...place } = more;
  const node = startSparkplug({
    ...{ site: HOUSE, simulated: false, now: () => NIGHT, onProblem: () => {} },
    place: { url: `mqtt://127.0.0.1:${port}`, group: 'plant', ...place },
    memory: {
      recall: (name) => memory.get(name) ?? '',
      remember: (name, text) => void memory.set(name, text),
    },
  });
  nodes.push(node);
  return node;
}

const verbs = () => heard.map(({ verb }) => verb);
const last = (verb: string) => heard.filter((one) => one.verb === verb).at(-1);
const command = (metrics: UMetric[]) =>
  listener.publishAsync('spBv1.0/plant/NCMD/demo', encodePayload({ timestamp: 1, metrics }) as Buffer, {
    qos: 0,
  });
const say = (online: boolean, timestamp: number, primary = 'desk') =>
  listener.publishAsync(`spBv1.0/STATE/${primary}`, JSON.stringify({ online, timestamp }), {
    qos: 1,
    retain: true,
  });

async function messages(at = NIGHT, isHeard = true) {
  const tested = await newTestedHouse();
  if (isHeard) tested.heard('a', NIGHT);
  return { tested, a: circuitMessages(HOUSE, tested.house, 'a', at) };
}

describe('the node', () => {
  it('is born with everything it will tell, named, numbered and typed, and nothing of it retained', async () => {
    start().take((await messages()).a);
    await expect.poll(verbs).toEqual(['NBIRTH', 'DBIRTH']);
    const [node, device] = heard;
    expect([node.topic, device.topic]).toEqual(['spBv1.0/plant/NBIRTH/demo', 'spBv1.0/plant/DBIRTH/demo/a']);
    for (const { qos, retain } of heard) expect([qos, retain]).toEqual([0, false]);
    expect([node, device].map(({ payload }) => number(payload.seq))).toEqual([0, 1]);
    expect(number(named(node.payload, 'bdSeq')?.value)).toBe(0);
    expect(named(node.payload, 'bdSeq')?.type).toBe('Int64');
    const rebirth = named(node.payload, 'Node Control/Rebirth');
    expect(rebirth).toMatchObject({ type: 'Boolean', value: false });
    expect(rebirth?.alias ?? null).toBeNull();
    const metrics = heard.flatMap(({ payload }) => payload.metrics ?? []);
    for (const { name, type, timestamp } of metrics) {
      expect(name && type, name ?? '').toBeTruthy();
      expect(number(timestamp)).toBe(NIGHT * 1000);
    }
    const others = metrics.filter(({ name }) => name !== 'Node Control/Rebirth');
    expect(new Set(others.map(({ alias }) => String(alias))).size).toBe(others.length);
    // Nothing was counted yet: null, and no value.
    const raw = proto.org.eclipse.tahu.protobuf.Payload.decode(node.bytes).metrics;
    const uncounted = raw.find(({ name }) => name === 'Verdict');
    expect([uncounted?.isNull, uncounted?.stringValue ?? null]).toEqual([true, null]);
    expect(named(device.payload, 'Luminaires/A-02/Verdict')).toMatchObject({
      type: 'String',
      value: 'not proven',
    });
    expect(named(device.payload, 'Supply/Before relay')).toMatchObject({ type: 'Boolean', value: true });
  });

  it('tells only what has changed, by alias, in one sequence', async () => {
    const node = start();
    const { a } = await messages();
    node.take(a);
    await expect.poll(verbs).toEqual(['NBIRTH', 'DBIRTH']);
    const alias = named(heard[1].payload, 'Luminaires/A-02/Verdict')?.alias;
    node.take(a);
    node.all([a]);
    const failed = { ...a.luminaires[1], verdict: 'fail' as const };
    node.take({ ...a, luminaires: [a.luminaires[0], failed] });
    await expect.poll(verbs).toEqual(['NBIRTH', 'DBIRTH', 'NDATA', 'DDATA']);
    const { metrics = [] } = heard[3].payload;
    expect(metrics).toHaveLength(1);
    expect(metrics?.[0]).toMatchObject({ alias, value: 'fail' });
    expect(metrics?.[0].name ?? '').toBe('');
    expect(heard.map(({ payload }) => number(payload.seq))).toEqual([0, 1, 2, 3]);
  });

  it('is born again when it is asked to, and does nothing else that it is told', async () => {
    const node = start();
    node.take((await messages()).a);
    await expect.poll(verbs).toEqual(['NBIRTH', 'DBIRTH']);
    await command([{ name: 'Verdict', type: 'String', value: 'pass' }]);
    await command([{ name: 'Node Control/Rebirth', type: 'Boolean', value: false }]);
    await listener.publishAsync('spBv1.0/plant/NCMD/demo', 'no payload at all');
    await command([{ name: 'Node Control/Rebirth', type: 'Boolean', value: true }]);
    await expect.poll(verbs).toEqual(['NBIRTH', 'DBIRTH', 'NBIRTH', 'DBIRTH']);
    expect(heard.map(({ payload }) => number(payload.seq))).toEqual([0, 1, 0, 1]);
    expect(number(named(last('NBIRTH')!.payload, 'bdSeq')?.value)).toBe(0);
  });

  it('says that it dies: by its last will, and itself before it goes, with the number of its birth', async () => {
    await start().close();
    start();
    await expect.poll(verbs).toContain('NBIRTH');
    await nodes[1].close();
    await expect.poll(verbs).toContain('NDEATH');
    const death = last('NDEATH')!;
    expect(death.payload.metrics).toHaveLength(1);
    expect(death.payload.seq ?? null).toBeNull();
    const born = number(named(last('NBIRTH')!.payload, 'bdSeq')?.value);
    expect(number(named(death.payload, 'bdSeq')?.value)).toBe(born);
    // The next connection has the next number, over a restart of the host too.
    start();
    await expect.poll(() => number(named(last('NBIRTH')!.payload, 'bdSeq')?.value)).toBe(born + 1);
  });

  it('waits for its primary host, and leaves when that goes, unless the message is an old one', async () => {
    await say(true, 100, 'another');
    const node = start({ primary: 'desk' });
    node.take((await messages()).a);
    await say(false, 100);
    await new Promise((resolve) => setTimeout(resolve, 300));
    expect(verbs()).toEqual([]);
    await say(true, 200);
    await expect.poll(verbs).toEqual(['NBIRTH', 'DBIRTH']);
    await say(false, 150);
    await new Promise((resolve) => setTimeout(resolve, 300));
    expect(verbs()).toEqual(['NBIRTH', 'DBIRTH']);
    await say(false, 300);
    await expect.poll(verbs).toEqual(['NBIRTH', 'DBIRTH', 'NDEATH']);
    await say(true, 400);
    await expect.poll(verbs).toEqual(['NBIRTH', 'DBIRTH', 'NDEATH', 'NBIRTH', 'DBIRTH']);
    expect(number(named(last('NBIRTH')!.payload, 'bdSeq')?.value)).toBe(1);
  });

  it('says that a device is gone while its controller is silent', async () => {
    const node = start();
    const { tested, a } = await messages();
    node.take(a);
    await expect.poll(verbs).toEqual(['NBIRTH', 'DBIRTH']);
    tested.clock.up = 3600;
    const silent = circuitMessages(HOUSE, tested.house, 'a', NIGHT + 3600);
    expect(silent.circuit.contact).toBe('silent');
    node.take(silent);
    await expect.poll(() => last('DDEATH')?.topic).toBe('spBv1.0/plant/DDEATH/demo/a');
    expect(number(last('DDEATH')?.payload.seq)).toBe(2);
    node.take(a);
    await expect.poll(verbs).toEqual(['NBIRTH', 'DBIRTH', 'DDEATH', 'DBIRTH']);
  });
});

it('is what docs/sparkplug.md says of it', () => {
  const read = (path: string) => readFileSync(fileURLToPath(new URL(path, import.meta.url)), 'utf8');
  const [shown] = read('../../../../docs/sparkplug.md').split('why there is no test');
  const titles = [...shown.matchAll(/^\| `.*` \| (.*) \|$/gm)].map((match) => match[1]);
  const named = titles.filter((title) => !title.startsWith('`'));
  expect(named.length).toBeGreaterThan(5);
  for (const title of named) expect(read('node.test.ts')).toContain(`it('${title}'`);
});

it('counts to 255 and on from 0', async () => {
  const { a } = await messages();
  const seqs: number[] = [];
  const session = new Session({
    ...{ site: HOUSE, group: 'plant', nowMs: () => 0 },
    send: (_topic, payload) => seqs.push(number(decodePayload(payload).seq)),
  });
  session.birth(0);
  for (let n = 0; n < 300; n++)
    session.take({ ...a, circuit: { ...a.circuit, state: n % 2 === 0 ? 'held' : 'charged' } });
  expect(seqs).toEqual(seqs.map((_, n) => n % 256));
  expect(seqs.length).toBeGreaterThan(256);
});

describe('a running host', () => {
  let bench: HostBench;
  beforeEach(() => {
    bench = new HostBench();
  });
  afterEach(() => bench.end());

  it('tells a failed luminaire, and that it is gone when it is killed from the broker', async () => {
    const place = { url: `mqtt://127.0.0.1:${broker.port}`, group: 'plant' };
    await bench.start(HOUSE, undefined, { sparkplug: place });
    await bench.testA(bench.host?.brokerPort ?? 0);
    const verdict = () => {
      const born = last('DBIRTH');
      const alias = String(born && named(born.payload, 'Luminaires/A-02/Verdict')?.alias);
      const told = heard.flatMap(({ payload }) => payload.metrics ?? []);
      return told.filter((one) => String(one.alias) === alias).at(-1)?.value;
    };
    await expect.poll(verdict).toBe('fail');
    // Another client under its id: the broker ends the connection of the node, and says its last will.
    const other = await mqtt.connectAsync(place.url, {
      clientId: 'nightproof-plant-demo',
      protocolVersion: 4,
    });
    await expect.poll(() => last('NDEATH')?.qos).toBe(1);
    await other.endAsync(true);
    await expect.poll(() => number(named(last('NBIRTH')!.payload, 'bdSeq')?.value)).toBeGreaterThan(0);
  });
});
