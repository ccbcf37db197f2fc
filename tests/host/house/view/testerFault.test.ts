// One fault of the tester is one thing to look at, not sixteen bad luminaires: from the core's own records to
// the list on the page. Common practice, no source.
import { describe, expect, it } from 'vitest';
import { Phase, Reason, TestKind } from '../../../../firmware/contract/codes';
import type { AnyRecord, StateMessage } from '../../../../firmware/contract/messages';
import { luminaireHistory } from '../../../../host/house/view/luminaireHistory';
import { openLogbook } from '../../../../host/logbook/engines/open';
import { headline } from '../../../../host/page/words/headline';
import { concerns } from '../../../../host/page/words/urgency';
import { readRecord } from '../../../../host/records/schema';
import { Bench, IN_WINDOW, lampOf, START } from '../../../firmware/core/bench';
import { newJournal } from '../../logbook/records';
import { inFileOrder, newBench } from '../bench';
import { HOUSE } from '../site';

const COUNT = 16;
const LUMINAIRES = Array.from({ length: COUNT }, (_, i) => ({
  ...HOUSE.circuits[0].luminaires[0],
  id: `A-${i + 1}`,
}));
const SITE = { ...HOUSE, circuits: [{ ...HOUSE.circuits[0], luminaires: LUMINAIRES }] };

/** The records of a test that goes wrong, as the core writes them. */
function faulty(kind: TestKind, change: (b: Bench) => void): Bench {
  const b = new Bench({ lamps: '0,200,0,3600;'.repeat(COUNT) }).planned(kind);
  b.lamps = Array.from({ length: COUNT }, () => lampOf(0));
  change(b);
  return b.run(IN_WINDOW + 4_000_000);
}

describe.each<[string, Reason, Bench]>([
  [
    'no lamp seen lit',
    Reason.NoneLit,
    faulty(TestKind.Brief, (b) => {
      b.lamps = b.lamps.map(() => lampOf(0, 0));
    }),
  ],
  [
    'all lamps out in one reading',
    Reason.Simultaneous,
    faulty(TestKind.Full, (b) => {
      b.lamps = b.lamps.map(() => lampOf(0, 900_000));
    }),
  ],
  [
    'a relay that does not open',
    Reason.RelayStuckClosed,
    faulty(TestKind.Brief, (b) => {
      b.change({ contact: 'closed' });
    }),
  ],
  [
    'sensors that all stand still',
    Reason.SensorStuck,
    faulty(TestKind.Brief, (b) => {
      b.lamps = b.lamps.map(() => () => 200);
    }),
  ],
])('%s', (_name, reason, bench) => {
  const journal = newJournal('demo/a');
  const bodies = bench.records.map(({ kind, ...fields }) => ({ kind, fields }));
  const now = START + Math.floor(bench.now / 1000);
  const state: StateMessage = {
    ...{
      v: 1,
      journal: 'j',
      boot: 1,
      up: 1,
      utc: now,
      clock: 2,
      phase: bench.s.phase,
      reason: bench.s.reason,
    },
    ...{ waiting: 0, bits: 3 + 8, test: 0, type: 0, since: 0, charged: 0, last: 0, acked: 0, settings: 1 },
    ...{ plan: 1, overdue: 0, refused: 0 },
  };

  it('is one concern on the page, and no luminaire of the circuit is called bad', () => {
    expect([bench.s.phase, bench.s.reason]).toEqual([Phase.Fault, reason]);
    const building = newBench({}, { site: SITE });
    for (const { kind, fields } of bodies)
      building.record('a', readRecord(journal.next(kind, fields)) as AnyRecord, now);
    building.state('a', state, now);
    const status = building.status(now, 1);
    expect(status.counts).toMatchObject({ fail: 0, void: COUNT });
    expect(concerns(status.controllers).map((c) => [c.circuit, c.luminaire, c.title])).toEqual([
      ['a', '', 'Tester fault'],
    ]);
    expect(headline(status.controllers)).toContain('1 circuit needs attention.');
  });

  it("is reported as the tester's at each luminaire", async () => {
    const logbook = await openLogbook(':memory:');
    const written = newJournal('demo/a');
    await logbook.appendBatch(bodies.map(({ kind, fields }) => written.record(kind, fields)));
    const entries = await logbook.results('demo/a', 10);
    const said = LUMINAIRES.map(
      (_, i) => luminaireHistory(SITE.circuits[0], i, entries, 'UTC', inFileOrder(SITE)).diagnosis,
    );
    expect(new Set(said).size).toBe(1);
    expect(said[0]).toMatch(/^Most likely the (tester, not the luminaire|current sensor)/);
    await logbook.close();
  });
});
