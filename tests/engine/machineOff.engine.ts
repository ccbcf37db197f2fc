// The broker's machine switched off for nights on end, on the real interpreter: no datagram to it can be sent, and every
// connect stops the loop and then fails, for longer than an ESP32's twelve tries of 1.5 s or six of 3 s
// (docs/engine.md, "Networks"). A function test is due every night: each is made, and all results arrive when the
// machine is back.
import { afterAll, beforeAll, expect, it } from 'vitest';
import { Reason, TestKind } from '../../firmware/contract/codes';
import { type MosquittoBroker, startMosquitto } from '../support/brokers';
import { NetworkRig } from './network';

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;
/** NIGHTS=7 is the week of docs/engine.md, some twenty minutes on a quiet machine. */
const NIGHTS = Number(process.env.NIGHTS || 2);
const FIRST_HOUR = 10;
/** How long a connect stops the loop, ms. */
const STOP_MS = 21_000;
/** Time between two turns while nothing is due, and while the network is awaited. */
const REST_MS = 600_000;
const NEAR_MS = 2000;
/** A controller that gave up would not try once an hour, but for the hours of the tests. */
const STOPS_A_NIGHT_MIN = 14;

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

it('with the machine off nothing is reset and no test is missed', async () => {
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
  console.log(
    `${off.stops} of ${off.connects} connects stopped the loop, the longest time between two turns was ` +
      `${off.gap} ms, with the supply off ${off.offGap} ms.`,
  );
  expect(rig.outcomes()).toEqual(
    Array.from({ length: NIGHTS }, (_, i) => `${i + 1} ended by ${Reason.Complete}: 16 pass`),
  );
  const { bites, hungryAt, offGap, gap } = await rig.counts();
  expect([bites, hungryAt, offGap, gap]).toEqual([0, -1, 250, STOP_MS + 250]);
  expect(off.stops).toBeGreaterThan(STOPS_A_NIGHT_MIN * NIGHTS);
  expect(rig.board.complaints).toEqual([]);
});
