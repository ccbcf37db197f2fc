// A broker whose machine takes no more connections, and one that takes them and says nothing, on the real
// interpreter with its own blocking connect and a real Mosquitto: the loop is stopped only at rest, the watchdog
// never bites, and the test of the night is made.
import { createSocket, type Socket as Datagrams } from 'node:dgram';
import { connect, type Socket } from 'node:net';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Reason, TestKind } from '../../../firmware/contract/codes';
import { type MosquittoBroker, startMosquitto } from '../../support/brokers';
import { pause } from '../../support/interpreterPort';
import { NetworkRig } from '../network';
import { hasInterpreter } from '../present';

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;
/** Connections of Mosquitto's backlog, 100, and some more that wait before it. */
const CROWD = 120;
/** How long the backlog stays full once the interpreter stands before it, ms: like the tries of an ESP32. */
const FULL_MS = 15_000;
const TEST_HOUR = 1.4;
const STUCK_MS = 2000;
const LOOK_MS = 100;

/** A frozen broker with a full backlog: the machine answers no more SYN. */
class Crowd {
  private sockets: Socket[] = [];

  constructor(private readonly broker: MosquittoBroker) {}

  async fill(): Promise<void> {
    this.broker.freeze();
    for (let i = 0; i < CROWD; i++) {
      const socket = connect(this.broker.port, '127.0.0.1');
      socket.on('error', () => {});
      this.sockets.push(socket);
    }
    await pause(1000);
  }

  /** The crowd leaves, the broker takes whoever still stands there, and falls silent again. */
  async leave(): Promise<void> {
    for (const socket of this.sockets.splice(0)) socket.destroy();
    this.broker.thaw();
    await pause(1000);
    this.broker.freeze();
  }
}

describe.skipIf(!hasInterpreter)('a full backlog on the real interpreter', () => {
  let broker: MosquittoBroker;
  let rig: NetworkRig;
  let host: Datagrams;
  beforeAll(async () => {
    broker = await startMosquitto();
    rig = new NetworkRig({ broker, tests: [{ hour: TEST_HOUR, kind: TestKind.Brief }] });
    await rig.start();
    host = createSocket('udp4');
    await new Promise<void>((done) => host.bind(0, '127.0.0.1', done));
    await rig.ask(`rig.answerer=${host.address().port}`);
  });
  afterAll(async () => {
    broker?.thaw();
    host?.close();
    await rig?.close();
    await broker?.stop();
  });

  it('stops the loop at rest for some 20 s, resets nothing, and the test is made in time', async () => {
    await rig.settled(2000);
    const crowd = new Crowd(broker);
    await crowd.fill();
    rig.isSilent = true;
    // The interpreter stands still: nothing has come back for a while.
    let lastMs = Date.now();
    let isLet = false;
    const watch = setInterval(() => {
      if (isLet || Date.now() - lastMs < STUCK_MS + FULL_MS) return;
      isLet = true;
      void crowd.leave();
    }, LOOK_MS);
    await rig.until(
      () => {
        lastMs = Date.now();
        return isLet;
      },
      HOUR,
      2000,
    );
    clearInterval(watch);
    const stood = await rig.counts();
    expect(stood.stops).toBe(1);
    expect(stood.gap).toBeGreaterThan(FULL_MS);
    await rig.through(TEST_HOUR, 20_000);
    broker.thaw();
    rig.isSilent = false;
    host.on('message', (bytes, from) => host.send(bytes, from.port, from.address));
    await rig.until(() => rig.results().length > 0, 8 * HOUR, 5000);
    expect(rig.outcomes()).toEqual([`1 ended by ${Reason.Complete}: 16 pass`]);
    const counts = await rig.counts();
    console.log(
      `Longest gap ${counts.gap} ms, with the supply off ${counts.offGap} ms; ${counts.connects} connects.`,
    );
    expect(counts.bites).toBe(0);
    expect(counts.offGap).toBe(250);
    expect(rig.board.complaints).toEqual([]);
  });
});
