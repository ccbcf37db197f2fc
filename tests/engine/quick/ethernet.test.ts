// The driver of the W5500 on the real interpreter, its SPI bus led to a model of the chip with a real Mosquitto
// behind it: the cable out, no DHCP server, a dead chip, at the start and later, over the time of a test. None of
// it makes a turn longer, and the test is made.
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Reason, TestKind } from '../../../firmware/contract/codes';
import { type MosquittoBroker, startMosquitto } from '../../support/brokers';
import { DhcpServer } from '../../support/dhcpServer';
import { W5500 } from '../../support/w5500';
import { ChipBus } from '../chipBus';
import { NetworkRig } from '../network';
import { hasInterpreter } from '../present';

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;
const TEST_HOUR = 1.4;
const REST_MS = 1000;
/** Bytes of one turn on the bus: two chunks of 512 with the frames of their commands. */
const BYTES_MAX = 1200;

describe.skipIf(!hasInterpreter)('Ethernet on the real interpreter', () => {
  const chip = new W5500();
  const dhcp = new DhcpServer(chip);
  let broker: MosquittoBroker;
  let bus: ChipBus;
  let rig: NetworkRig;
  beforeAll(async () => {
    broker = await startMosquitto();
    rig = new NetworkRig({
      broker,
      tests: [{ hour: TEST_HOUR, kind: TestKind.Brief }],
      shims: ['spi'],
      board: 'esp32eth',
      net: { kind: 'w5500', sck: 'sck', miso: 'miso', mosi: 'mosi', cs: 'cs' },
      prepare: (folder) => {
        bus = new ChipBus(folder, chip);
      },
    });
    chip.isPlugged = false;
    await rig.start();
  });
  afterAll(async () => {
    await rig?.close();
    bus?.close();
    chip.reset();
    await broker?.stop();
  });

  it('the cable out at the start, no DHCP server, a dead chip: online once all is well', async () => {
    rig.isSilent = true;
    await rig.to(MINUTE, REST_MS);
    expect(dhcp.requests).toEqual([]);
    dhcp.isSilent = true;
    chip.isPlugged = true;
    await rig.to(3 * MINUTE, REST_MS);
    expect(dhcp.requests.length).toBeGreaterThan(2);
    chip.dead = 0xff;
    dhcp.isSilent = false;
    await rig.to(4 * MINUTE, REST_MS);
    chip.dead = undefined;
    rig.isSilent = false;
    await rig.settled(REST_MS);
    expect(rig.circuit.hasPlan).toBe(1);
  });

  it('the cable out over the time of a test: it is made, and its result arrives later', async () => {
    chip.isPlugged = false;
    rig.isSilent = true;
    await rig.through(TEST_HOUR, 30_000);
    chip.isPlugged = true;
    chip.reset();
    rig.isSilent = false;
    await rig.until(() => rig.results().length > 0, 4 * HOUR, REST_MS);
    expect(rig.outcomes()).toEqual([`1 ended by ${Reason.Complete}: 16 pass`]);
    const { bites, gap, offGap } = await rig.counts();
    const most = await rig.ask<number>('rig.most');
    console.log(`Longest time between two turns ${gap} ms, at most ${most} bytes on the bus in one turn.`);
    expect([bites, gap, offGap]).toEqual([0, 250, 250]);
    expect(most).toBeLessThanOrEqual(BYTES_MAX);
    expect(rig.board.complaints).toEqual([]);
  });
});
