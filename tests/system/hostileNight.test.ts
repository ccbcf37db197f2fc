// Somebody on the network who may say and hear everything, on a broker without any rules, in the middle of a duration
// test: forged, replayed, delayed, shortened and stored messages, floods, wills, and the controller's own client id.
// The test must go on as if nobody were there, and every record must be in the log book once.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import mqtt, { type MqttClient } from 'mqtt';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { OrderKind, Phase, Reason } from '../../firmware/contract/codes';
import { downTopics, topicOf } from '../../firmware/contract/topics';
import { seededKeys, signMessage } from '../../host/keys';
import { recordsIn } from '../../host/rehearse/rehearsal';
import { type MosquittoBroker, startMosquitto } from '../support/brokers';
import { RawClient } from '../support/rawMqtt';
import { buildLodge } from './support/lodge';
import { isHandedOver, type Night, startNight } from './support/night';
import { judgements, readLines } from './support/records';

const PACE = 60;
const RATED_MINUTES = 15;
const closely = { interval: 50 };
const WINGS = ['lodge/wing-1', 'lodge/wing-2'];
/** Of another site, so of no worth here. */
const WRONG_KEYS = seededKeys(12);

let folder: string;
let broker: MosquittoBroker;
let night: Night | undefined;
let attacker: MqttClient | undefined;

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-hostile-'));
  broker = await startMosquitto();
});
afterEach(async () => {
  attacker?.end(true);
  await night?.stop();
  night = undefined;
  await broker.kill();
  rmSync(folder, { recursive: true, force: true });
});

/** Everything that anyone said, as it was said. */
async function eavesdrop(): Promise<{ topic: string; payload: Buffer }[]> {
  const said: { topic: string; payload: Buffer }[] = [];
  attacker = await mqtt.connectAsync(broker.url, { clientId: 'somebody', protocolVersion: 4 });
  attacker.on('message', (topic, payload) => said.push({ topic, payload }));
  await attacker.subscribeAsync('nightproof/#', { qos: 1 });
  return said;
}

/** Orders and the rest that would do harm if they were believed, unsigned and signed by another. */
function forgeries(address: string, utc: number): [string, string][] {
  const order = (what: number, arg: number) => ({
    ...{ v: 1, counter: 4_000_000_000, expires: Math.floor(utc) + 600, do: what, arg, who: 'Nobody' },
  });
  const messages: ['order' | 'ack' | 'time' | 'plan' | 'settings', object][] = [
    ['order', order(OrderKind.Restore, 0)],
    ['order', order(OrderKind.Hold, 604_800)],
    ['order', order(OrderKind.Test, 2)],
    ['order', order(OrderKind.Extend, 10_000)],
    ['ack', { v: 1, journal: '00000000', through: 4_000_000 }],
    ['time', { v: 1, boot: 1, up: 1, utc: 0 }],
    ['plan', { v: 1, revision: 4_000_000_000, until: 4_000_000_000, slots: '1,2,1,1;' }],
    ['settings', { v: 1, revision: 4_000_000_000, briefSec: 65 }],
  ];
  return messages.flatMap(([kind, message]): [string, string][] => [
    [topicOf(address, kind), JSON.stringify(message)],
    [topicOf(address, kind), signMessage(WRONG_KEYS, address, kind, message)],
  ]);
}

/** All that was heard once more: as it was, to the other wing, as another kind, cut short, and retained. */
async function sayAgain(of: MqttClient, said: { topic: string; payload: Buffer }[]): Promise<void> {
  for (const { topic, payload } of said) {
    const other = topic.includes('wing-1')
      ? topic.replace('wing-1', 'wing-2')
      : topic.replace('wing-2', 'wing-1');
    const asOrder = topic.replace(/[a-z]+$/, 'order');
    for (const where of [topic, other, asOrder]) {
      of.publish(where, payload, { qos: 1 });
      of.publish(where, payload, { qos: 1, retain: true });
    }
    of.publish(topic, payload.subarray(0, payload.length - 9), { qos: 1 });
  }
  await of.publishAsync('nightproof/lodge/notice', 'all is well', { qos: 1, retain: true });
}

it('somebody who may say anything changes nothing about a running test, and no record is lost', async () => {
  const lodge = buildLodge(folder, 2, RATED_MINUTES, 3600);
  const said = await eavesdrop();
  const running = await startNight({ lodge, circuit: 'wing-1', folder, broker, pace: PACE });
  night = running;
  const { fleet, watch } = running.rehearsal;
  const { house, ingest, logbook, orders } = running.served;
  const status = (circuit: string) => house.view.controller(circuit, fleet.utcMs() / 1000);
  // Real orders to hear: there is nothing to release, so the controllers refuse them.
  for (const address of WINGS)
    await expect
      .poll(async () => {
        await orders.give(address, { do: OrderKind.Release, arg: 0, who: 'Porter' });
        return said.some(({ topic }) => topic === topicOf(address, 'order'));
      })
      .toBe(true);
  await expect.poll(() => status('wing-1').phase, closely).toBe('full');
  const before = await recordsIn(logbook);

  const forged = WINGS.flatMap((address) => forgeries(address, fleet.utcMs() / 1000));
  for (const [topic, text] of forged)
    for (const retain of [false, true]) await attacker?.publishAsync(topic, text, { qos: 1, retain });
  const tested = running.node('wing-1');
  expect(tested.plant.relay.open).toBe(true);
  await sayAgain(attacker!, [...said]);
  for (const topic of WINGS.flatMap(downTopics))
    for (let i = 0; i < 100; i++) attacker?.publish(topic, '{'.repeat(i * 40), { qos: 0 });
  // The real one is thrown out by its own id, with a will for it, and finds the stored traps when it comes back.
  for (let i = 0; i < 3; i++) {
    const will = { willTopic: 'nightproof/lodge/wing-1/presence', willPayload: '{"v":1,"online":0}' };
    const double = await RawClient.joined(broker, { clientId: 'lodge.wing-1', ...will });
    double.close();
  }
  await attacker?.publishAsync(
    'nightproof/lodge/wing-1/record',
    said.find(({ topic }) => /record$/.test(topic))?.payload ?? 'x',
  );

  await expect.poll(() => tested.controller?.core.phase, closely).toBe(Phase.Recharging);
  expect(tested.plant.supplied).toBe(true);
  await expect.poll(() => isHandedOver(fleet.nodes), closely).toBe(true);
  await expect.poll(() => status('wing-1').phase, closely).toBe('recharging');
  expect(house.reported.of('wing-1').state?.refused).toBeGreaterThan(0);
  expect(await recordsIn(logbook)).toBe(running.rehearsal.recordsWritten());
  expect(ingest.counts.conflicts).toBe(0);
  await running.stop();

  // I1 to I5 from outside, after every event.
  expect(watch.violations).toEqual([]);
  const lines = (await readLines(running.db)).slice(before);
  const results = lines.filter((line) => line.record.kind === 'result');
  expect(results.map(({ circuit }) => circuit)).toEqual(['wing-1']);
  const [judged] = judgements(lodge.site, lines);
  expect(judged.result).toMatchObject({ end: Reason.Complete, seconds: RATED_MINUTES * 60 });
});
