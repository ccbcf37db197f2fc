// Whatever happens, in any order: the claims hold after every turn, and the world outside agrees.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type OrderKind, Phase, Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import { brokenClaims } from '../../../firmware/core/claims';
import { takeTime } from '../../../firmware/core/clock';
import { newCore } from '../../../firmware/core/state';
import { takeOrder } from '../../../firmware/core/step';
import { runs } from '../../support/depth';
import { Bench, IN_WINDOW, lampOf, START, type World } from './bench';

type Action = (b: Bench) => unknown;

const world = (change: fc.Arbitrary<Partial<World>>): fc.Arbitrary<Action> =>
  change.map((w) => (b: Bench) => b.change(w));
const bit = fc.constantFrom(0, 1);

const order: fc.Arbitrary<Action> = fc
  .record({
    what: fc.constantFrom(1, 2, 3, 4, 5, 6, 0, 77),
    arg: fc.constantFrom(0, 1, 2, 3, 4, 59, 60, 300, 86_400, 604_801),
  })
  .map(
    ({ what, arg }) =>
      (b: Bench) =>
        takeOrder(b.s, what as OrderKind, arg, b.now),
  );

const clock: fc.Arbitrary<Action> = fc.integer({ min: -86_400, max: 86_400 }).map((seconds) => (b: Bench) => {
  // Twice, so that it is believed.
  for (let i = 0; i < 2; i++) {
    takeTime(b.s, (START + seconds) * 1000 + b.now, b.now, b.now);
    b.run(b.now + 31_000);
  }
});

const lamp: fc.Arbitrary<Action> = fc
  .record({ i: fc.integer({ min: 0, max: 3 }), dies: fc.constantFrom(0, 3000, 50_000, 70_000, Infinity) })
  .map(({ i, dies }) => (b: Bench) => {
    b.lamps[i] = dies === 3000 ? () => Limit.RailHigh : lampOf(i, dies);
  });

const flash: fc.Arbitrary<Action> = fc
  .record({ room: bit, storable: bit })
  .map((f) => (b: Bench) => Object.assign(b, f));

const wait: fc.Arbitrary<Action> = fc
  .constantFrom(250, 500, 750, 1000, 1500, 4000, 30_000, 130_000, 3_700_000, 86_400_000)
  .map((ms) => (b: Bench) => b.run(b.now + ms));

const action = fc.oneof(
  { weight: 8, arbitrary: wait },
  { weight: 2, arbitrary: world(fc.record({ mains: bit })) },
  { weight: 1, arbitrary: world(fc.record({ key: bit })) },
  { weight: 1, arbitrary: world(fc.record({ stop: bit })) },
  { weight: 1, arbitrary: world(fc.record({ occupied: bit })) },
  {
    weight: 1,
    arbitrary: world(fc.record({ contact: fc.constantFrom<World['contact']>('follows', 'closed', 'open') })),
  },
  { weight: 1, arbitrary: world(fc.record({ aux: fc.constantFrom(undefined, 0, 1) })) },
  { weight: 3, arbitrary: order },
  { weight: 1, arbitrary: clock },
  { weight: 1, arbitrary: lamp },
  { weight: 1, arbitrary: flash },
);

/** Restores the world and lets it run long enough to finish whatever was going on. */
function heal(b: Bench): void {
  b.change({ mains: 1, key: 0, stop: 0, occupied: 0, contact: 'follows', aux: undefined });
  b.run(b.now + 4_000_000);
  for (let i = 0; i < 8 && b.s.kind !== TestKind.None; i++) b.run(b.now + 600_000);
}

/** What the relay did, compared with what the core wrote. */
function checkOutside(b: Bench): void {
  const openings = b.drives.filter((d) => d.open === 1).length;
  // An intent that could not be made durable opens nothing, and has its result all the same.
  const failed = b.of('result').filter((r) => r.end === Reason.FlashFault).length;
  expect(b.of('intent')).toHaveLength(openings + failed);
  expect(b.of('result')).toHaveLength(openings + failed);
  for (const r of b.of('result')) {
    for (const [verdict, why] of r.lamps) {
      expect(verdict).not.toBe(Verdict.Open);
      if (r.end >= Reason.Outage) expect(verdict).not.toBe(Verdict.Pass);
      expect(why === Reason.None).toBe(verdict === Verdict.Pass);
    }
  }
  for (let i = 0; i + 1 < b.drives.length; i += 2) {
    const heldMs = b.drives[i + 1].at - b.drives[i].at;
    expect(heldMs).toBeLessThanOrEqual((3600 + Limit.OpenGraceSec) * 1000);
  }
}

function story(kind: TestKind, actions: Action[], settings = {}): Bench {
  const b = new Bench(settings).planned(kind).run(IN_WINDOW - 60_000);
  for (const act of actions) act(b);
  heal(b);
  return b;
}

describe('after any sequence of events', () => {
  it.each([
    ['a brief test', TestKind.Brief, {}],
    ['a full test', TestKind.Full, { fitted: 15 }],
    ['a shared circuit', TestKind.Brief, { fitted: 15, shared: 1, emptySec: 60 }],
  ])('around %s the claims hold and every opening has one result', (_name, kind, settings) => {
    fc.assert(
      fc.property(fc.array(action, { maxLength: 40 }), (actions) => {
        const b = story(kind, actions, settings);
        expect(b.broken).toEqual([]);
        checkOutside(b);
      }),
      { numRuns: runs(150) },
    );
  });

  it('no opening begins with key, stop, people or an outage, not even in the same turn', () => {
    fc.assert(
      fc.property(fc.array(action, { maxLength: 40 }), (actions) => {
        const b = new Bench({ fitted: 15, shared: 1, emptySec: 60 }).planned(TestKind.Brief);
        b.run(IN_WINDOW - 60_000);
        for (const act of actions) act(b);
        for (const { open, world } of b.drives)
          if (open) expect(world).toMatchObject({ key: 0, stop: 0, occupied: 0, mains: 1 });
      }),
      { numRuns: runs(100) },
    );
  });
});

describe('the claims themselves', () => {
  it('hold for a newly created controller', () => {
    expect(brokenClaims(newCore(1), 0)).toEqual([]);
  });

  it.each([
    ['a coil held at rest', { drive: 1, phase: Phase.Charged }, 'I1'],
    ['a coil held in an outage', { drive: 1, phase: Phase.Outage }, 'I2'],
    ['a coil held with the stop input', { drive: 1, phase: Phase.Brief, seenStop: 1 }, 'I2'],
    ['an opening that lasts too long', { drive: 1, phase: Phase.Full, limitMs: 1000, openAt: -62_000 }, 'I1'],
    ['a lease that reaches too far', { leaseUntil: Limit.LeaseMs + 1 }, 'I1'],
    ['a fault without the red lamp', { phase: Phase.Fault, red: 0 }, 'I6'],
    ['a test kind at rest', { kind: TestKind.Full }, 'a test kind'],
    ['a long queue', { outCount: 9 }, 'the queue'],
  ])('are broken by %s', (_name, change, claim) => {
    const s = Object.assign(newCore(1), change);
    expect(brokenClaims(s, 0).some((name) => name.startsWith(claim))).toBe(true);
  });

  it('are broken by a lamp left undecided after the end', () => {
    const s = newCore(1);
    s.end = Reason.Complete;
    s.set.lampCount = 2;
    s.verdict[0] = Verdict.Pass;
    expect(brokenClaims(s, 0).some((name) => name.startsWith('I8'))).toBe(true);
  });
});
