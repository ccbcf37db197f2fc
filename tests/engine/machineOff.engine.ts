// The broker's machine switched off for a week, on the real interpreter: every connect stops the loop and fails,
// which here takes as long as an ESP32's six tries of 3 s (docs/engine.md, "Networks"). No
// datagram to it can be sent either. A function test is due every night: each is made, and all results arrive when
// the machine is back.
import { afterAll, beforeAll, expect, it } from 'vitest';
import { Reason, TestKind } from '../../firmware/contract/codes';
import { type MosquittoBroker, startMosquitto } from '../support/brokers';
import { NetworkRig } from './network';

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;
const NIGHTS = 7;
const FIRST_HOUR = 10;
const STOP_MS = 21_000;
/** Time between two turns while nothing is due, and while the network is awaited. */
const REST_MS = 60_000;
const NEAR_MS = 2000;

let broker: MosquittoBroker;
let rig: NetworkRig;
beforeAll(async () => {
  broker = await startMosquitto();
  const tests = Array.from({ length: NIGHTS }, (_, i) => ({
    hour: FIRST_HOUR + 24 * i,
    kind: TestKind.Brief,
  }));
  rig = new NetworkRig({ broker, tests });
  await rig.start();
});
afterAll(async () => {
  await rig?.close();
  await broker?.stop();
});

it('with the machine off for a week nothing is reset and no test is missed', async () => {
  await rig.settled(NEAR_MS);
  await rig.ask(`rig.hang=${STOP_MS}`);
  await broker.kill();
  rig.isSilent = true;
  for (let night = 0; night < NIGHTS; night++) await rig.through(FIRST_HOUR + 24 * night, REST_MS);
  await rig.to(24 * NIGHTS * HOUR, REST_MS);
  const off = await rig.counts();
  await broker.start();
  rig.isSilent = false;
  await rig.ask('rig.hang=0');
  await rig.until(() => rig.results().length === NIGHTS, (24 * NIGHTS + 6) * HOUR, MINUTE);
  expect(rig.outcomes()).toEqual(
    Array.from({ length: NIGHTS }, (_, i) => `${i + 1} ended by ${Reason.Complete}: 16 pass`),
  );
  console.log(
    `${off.stops} of ${off.connects} connects stopped the loop, the longest time between two turns was ` +
      `${off.gap} ms, with the supply off ${off.offGap} ms.`,
  );
  const { bites, hungryAt, offGap, gap } = await rig.counts();
  expect([bites, hungryAt, offGap, gap]).toEqual([0, -1, 250, STOP_MS + 250]);
  // An attempt an hour, each with less than a minute's notice of a test.
  expect(off.stops).toBeGreaterThan(100);
  expect(rig.board.complaints).toEqual([]);
});
