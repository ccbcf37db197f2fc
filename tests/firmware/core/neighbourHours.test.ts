// Two neighbours that know nothing of each other (I7): whatever hosts, people and clocks do, one never discharges
// or recharges while the other does, as long as their own nights are two apart and their own hours disjoint.
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { OrderKind, Phase, TestKind } from '../../../firmware/contract/codes';
import type { SettingsMessage } from '../../../firmware/contract/messages';
import { takeOrder } from '../../../firmware/core/step';
import { runs } from '../../support/depth';
import { Bench, DAY_MS, START } from './bench';

const DAY = 86_400;
const DAYS = 30;
/** The oldest clock that is trusted may be an hour off. */
const ERROR_SEC = 3600;

interface Drawn {
  noon: number;
  cycle: number;
  /** Second after noon at which the shared hours begin, and the lengths of the two circuits' parts. */
  from: number;
  parts: [number, number];
  rechargeSec: number;
  briefRechargeSec: number;
  a: Life;
  b: Life;
}

/** What happens to one circuit. */
interface Life {
  /** How far its clock is ahead, and how far it may be, s. */
  offSec: number;
  errorSec: number;
  /** Until when the host plans, days; its slots are whole nights, whoever's they are. */
  planDays: number;
  kinds: TestKind[];
  briefDays: number;
  /** Moments, as a share of the whole run, and what someone does then. */
  events: { at: number; what: 'stop' | 'key' | 'test'; arg: number }[];
  /** Walk-round ordered in every function test, s; 0: none. */
  extendSec: number;
}

/** Orders a walk-round as soon as a function test discharges. */
class WalkedRound extends Bench {
  extendSec = 0;

  override perform(): void {
    super.perform();
    if (this.extendSec > 0 && this.s.phase === Phase.Brief && this.s.limitMs === 120_000)
      takeOrder(this.s, OrderKind.Extend, this.extendSec, this.now);
  }
}

const life: fc.Arbitrary<Life> = fc
  .record({
    error: fc.integer({ min: 0, max: ERROR_SEC - 600 }),
    share: fc.double({ min: -1, max: 1, noNaN: true }),
    planDays: fc.integer({ min: 0, max: DAYS }),
    kinds: fc.array(fc.constantFrom(TestKind.Brief, TestKind.Brief, TestKind.Full, TestKind.None), {
      minLength: 3,
      maxLength: 20,
    }),
    briefDays: fc.integer({ min: 1, max: 4 }),
    events: fc.array(
      fc.record({
        at: fc.double({ min: 0, max: 1, noNaN: true }),
        what: fc.constantFrom('stop' as const, 'key' as const, 'test' as const),
        arg: fc.integer({ min: 1, max: 900 }),
      }),
      { maxLength: 12 },
    ),
    extendSec: fc.constantFrom(0, 60, 780),
  })
  .map(({ error, share, ...rest }) => ({ ...rest, errorSec: error, offSec: Math.trunc(share * error) }));

const drawn: fc.Arbitrary<Drawn> = fc.record({
  noon: fc.integer({ min: 0, max: 23 }).map((hour) => hour * 3600),
  cycle: fc.integer({ min: 5, max: 8 }),
  from: fc.integer({ min: 0, max: 3 * 3600 }),
  parts: fc.tuple(fc.integer({ min: 4000, max: 36_000 }), fc.integer({ min: 4000, max: 36_000 })),
  rechargeSec: fc.constantFrom(5400, 43_200, DAY),
  briefRechargeSec: fc.constantFrom(600, 3600),
  a: life,
  b: life,
});

/** Everything that a circuit does in the run: from the loss of supply to the end of its recharge, UTC s. */
function spansOf(d: Drawn, of: Life, own: Partial<SettingsMessage>): { from: number; to: number }[] {
  const { noon, cycle, rechargeSec, briefRechargeSec } = d;
  const window = { fallbackFrom: (noon + 600) % DAY, fallbackSec: DAY - 1200 };
  const recharge = { rechargeSec, briefRechargeSec };
  const days = { briefDays: of.briefDays, fullDays: 13 };
  const shared = { sharedCycle: cycle, sharedResidue: 4 };
  const b = new WalkedRound({ noon, cycle, ...shared, ...window, ...recharge, ...days, ...own });
  b.extendSec = of.extendSec;
  // A clock that was set so long ago may be this far off.
  b.s.utcBase += of.offSec * 1000;
  b.s.syncAt -= (of.errorSec * 1e9) / 100;
  const first = Math.floor((START - noon) / DAY) * DAY + noon;
  const nights = of.kinds.map((kind, i) => [i + 1, kind, first + i * DAY, first + (i + 1) * DAY]);
  b.plan(
    nights.filter(([, , , to]) => to <= START + of.planDays * DAY),
    START + of.planDays * DAY,
  );
  for (const { at, what, arg } of [...of.events].sort((x, y) => x.at - y.at)) {
    const ms = Math.floor(at * DAYS * 345_600) * 250;
    if (what === 'stop' || what === 'key') {
      b.at(ms, { [what]: 1 });
      b.at(ms + arg * 60_000, { [what]: 0 });
    } else {
      b.run(Math.max(b.now, ms));
      takeOrder(b.s, OrderKind.Test, 1 + (arg % 2), b.now);
    }
  }
  b.run(DAYS * DAY_MS);
  expect(b.broken).toEqual([]);
  const spans = [];
  for (let i = 0; i + 1 < b.drives.length; i += 2) {
    const from = START + b.drives[i].at / 1000;
    const over = START + b.drives[i + 1].at / 1000;
    const isBrief = over - from <= 120 + 5;
    spans.push({ from, to: over + (isBrief ? briefRechargeSec : rechargeSec) });
  }
  return spans;
}

/** Both circuits' spans, and how many of one meet one of the other. */
function meetings(d: Drawn, overlapSec = 0): { shared: number; met: number } {
  const { noon, cycle, from, parts } = d;
  const second = { hoursFrom: (noon + from + parts[0] - overlapSec) % DAY, hoursSec: parts[1] };
  const a = spansOf(d, d.a, { residue: 0, hoursFrom: (noon + from) % DAY, hoursSec: parts[0] });
  const b = spansOf(d, d.b, { residue: 2, ...second });
  const met = a.filter((one) => b.some((other) => one.from < other.to && other.from < one.to)).length;
  const isShared = (span: { from: number }) => Math.floor((span.from - noon) / DAY) % cycle === 4;
  return { met, shared: a.filter(isShared).length + b.filter(isShared).length };
}

it('never discharge or recharge together, whatever hosts, people and clocks do', () => {
  let shared = 0;
  fc.assert(
    fc.property(drawn, (d) => {
      const found = meetings(d);
      shared += found.shared;
      expect(found.met).toBe(0);
    }),
    { numRuns: runs(25) },
  );
  expect(shared).toBeGreaterThan(runs(25));
});

it('would be seen to meet if their own hours overlapped', () => {
  const calm: Life = {
    offSec: 0,
    errorSec: 0,
    planDays: 0,
    kinds: [],
    briefDays: 1,
    events: [],
    extendSec: 0,
  };
  const parts: [number, number] = [9000, 9000];
  const base = { noon: 43_200, cycle: 5, from: 3600, parts, rechargeSec: DAY, briefRechargeSec: 3600 };
  const d: Drawn = { ...base, a: calm, b: calm };
  expect(meetings(d).met).toBe(0);
  expect(meetings(d, 6000).met).toBeGreaterThan(0);
});
