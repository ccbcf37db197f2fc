// Wi-Fi on the real interpreter, with a model of the ESP32's module (shims/accessPoint.js) and a real Mosquitto:
// an access point that is slower than the controller after a power cut, one whose DHCP does not answer at first,
// and one that is off for hours over the time of a test.
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Reason, TestKind } from '../../firmware/contract/codes';
import { Limit } from '../../firmware/contract/limits';
import { type MosquittoBroker, startMosquitto } from '../support/brokers';
import { NetworkRig } from './network';

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;
const TEST_HOUR = 1.4;
/** Longest pause of the driver between two attempts to join, with its jitter, and the attempt itself. */
const JOIN_MAX_MS = 4 * MINUTE;
/** A connect into a network that is gone unnoticed: shims/accessPoint.js. */
const UNNOTICED_MS = 18_000;

describe('an access point on the real interpreter', () => {
  let broker: MosquittoBroker;
  let rig: NetworkRig;
  beforeAll(async () => {
    broker = await startMosquitto();
    const net = { kind: 'wifi', ssid: 'bench', password: 'bench' };
    rig = new NetworkRig({
      broker,
      net,
      tests: [{ hour: TEST_HOUR, kind: TestKind.Brief }],
      shims: ['accessPoint'],
    });
    await rig.start();
  });
  afterAll(async () => {
    await rig?.close();
    await broker?.stop();
  });

  it('off for two minutes at the start, then without leases: joined soon after', async () => {
    await rig.ask('air.on=0');
    rig.isSilent = true;
    await rig.to(2 * MINUTE, 1000);
    expect(await rig.ask('air.joins')).toBeGreaterThan(1);
    await rig.ask('(air.on=1,air.leases=0)');
    await rig.to(rig.ms + 2 * MINUTE, 1000);
    expect(await rig.ask('air.isUp()')).toBe(0);
    await rig.ask('air.leases=1');
    rig.isSilent = false;
    const from = rig.ms;
    await rig.until(() => rig.circuit.hasPlan === 1, HOUR, 1000);
    expect(rig.ms - from).toBeLessThan(JOIN_MAX_MS);
    expect((await rig.counts()).gap).toBe(Limit.LoopMs);
    await rig.settled(1000);
  });

  it('off for hours: the test is made, and its result arrives once the network is back', async () => {
    await rig.ask('air.on=0');
    rig.isSilent = true;
    await rig.through(TEST_HOUR, 5000);
    await rig.to(4 * HOUR, 60_000);
    await rig.ask('air.on=1');
    rig.isSilent = false;
    await rig.until(() => rig.results().length > 0, 6 * HOUR, 2000);
    expect(rig.outcomes()).toEqual([`1 ended by ${Reason.Complete}: 16 pass`]);
    const { bites, gap, offGap, stops } = await rig.counts();
    console.log(`${stops} connects stopped the loop; longest time between two turns ${gap} ms.`);
    expect([bites, offGap]).toEqual([0, Limit.LoopMs]);
    expect(gap).toBeLessThanOrEqual(UNNOTICED_MS + Limit.LoopMs);
    expect(rig.board.complaints).toEqual([]);
  });
});
