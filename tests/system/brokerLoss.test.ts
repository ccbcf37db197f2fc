// The broker dies in the middle of a duration test: tester and luminaires must not notice, and the log book
// must get every record once when the broker is back.

import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { Phase, Reason, Verdict } from '../../firmware/contract/codes';
import { recordsIn } from '../../host/rehearse/rehearsal';
import type { SimulatedController } from '../../simulator/node';
import { type MosquittoBroker, startMosquitto } from '../support/brokers';
import { buildLodge } from './support/lodge';
import { isHandedOver, type Night, startNight } from './support/night';
import { judgements, readLines } from './support/records';

/** 15 minutes of discharge in 15 s. */
const PACE = 60;
const RATED_MINUTES = 15;
/** How much of the test has run when the broker goes, s: late, because reconnecting backs off. */
const MID_TEST_SEC = 600;
const closely = { interval: 50 };

let folder: string;
let broker: MosquittoBroker;
let night: Night | undefined;

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-broker-loss-'));
  broker = await startMosquitto();
});
afterEach(async () => {
  await night?.stop();
  night = undefined;
  await broker.kill();
  rmSync(folder, { recursive: true, force: true });
});

function phaseOf(node: SimulatedController): Phase | undefined {
  return node.controller?.core.phase;
}

/** The mains of a circuit fails for a minute from now. */
function failMains(of: Night, node: SimulatedController): void {
  const { fleet } = of.rehearsal;
  node.plant.outages.push({ from: fleet.now + 1, to: fleet.now + 60_000 });
  node.touch();
  fleet.schedule(node);
}

it('a broker killed during a test and restarted costs no record, and the relay closes on time', async () => {
  // The other circuits' tests of that night come after all this.
  const lodge = buildLodge(folder, 3, RATED_MINUTES, 3600);
  const running = await startNight({ lodge, circuit: 'wing-1', folder, broker, pace: PACE });
  night = running;
  const { fleet, watch } = running.rehearsal;
  const tested = running.node('wing-1');
  const blackout = running.node('wing-2');
  const { house, ingest, logbook } = running.served;

  const status = (circuit: string) => house.view.controller(circuit, fleet.utcMs() / 1000);
  await expect.poll(() => status('wing-1').phase, closely).toBe('full');
  await expect.poll(() => status('wing-1').live?.t ?? 0, closely).toBeGreaterThan(MID_TEST_SEC);
  expect(isHandedOver(fleet.nodes)).toBe(true);
  const before = await recordsIn(logbook);
  await broker.kill();
  failMains(running, blackout);

  await expect.poll(() => tested.plant.relay.open, closely).toBe(false);
  await expect.poll(() => phaseOf(tested), closely).toBe(Phase.Recharging);
  expect(tested.plant.supplied).toBe(true);
  await expect.poll(() => phaseOf(blackout), closely).toBe(Phase.Recharging);
  // Their records exist only on the controllers. A phase change is recorded one turn after it happens.
  const keepRecords = () => fleet.nodes.filter((n) => !isHandedOver([n])).map((n) => n.spec.circuit);
  await expect.poll(keepRecords, closely).toEqual(['wing-1', 'wing-2']);
  expect(await recordsIn(logbook)).toBe(before);

  await broker.start();
  await expect.poll(() => isHandedOver(fleet.nodes), closely).toBe(true);
  await expect
    .poll(() => status('wing-1'), closely)
    .toMatchObject({ phase: 'recharging', relayOpen: false, supplyAfter: true });
  expect(await recordsIn(logbook)).toBe(running.rehearsal.recordsWritten());
  expect(ingest.counts.conflicts).toBe(0);
  await running.stop();

  // I1 among others: the relay was never held beyond its limit (the watch checks after every event).
  expect(watch.violations).toEqual([]);
  const lines = await readLines(running.db);
  for (const { spec, controller } of fleet.nodes) {
    const seqs = lines.filter((l) => l.circuit === spec.circuit).map((l) => l.entry.seq);
    seqs.sort((a, b) => a - b);
    expect(seqs, spec.circuit).toEqual(
      Array.from({ length: controller?.journal.last ?? 0 }, (_, i) => i + 1),
    );
  }
  const verdicts = judgements(lodge.site, lines.slice(before));
  expect(verdicts.map((j) => [j.luminaire, j.result.end, j.verdict, j.reason])).toEqual([
    ['W1-01', Reason.Complete, Verdict.Fail, Reason.NotLitAtFiveSeconds],
    ['W1-02', Reason.Complete, Verdict.Pass, Reason.None],
    ['W1-03', Reason.Complete, Verdict.Pass, Reason.None],
    ['W1-04', Reason.Complete, Verdict.Pass, Reason.None],
  ]);
  expect(verdicts[0].result.seconds).toBe(RATED_MINUTES * 60);
  const told = lines.slice(before).map((l) => `${l.circuit} ${l.record.kind}`);
  expect(told.sort()).toEqual(['wing-1 result', 'wing-2 outage', 'wing-2 supply']);
});
