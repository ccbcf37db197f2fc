// Guards that no longer release the relay, on the modelled hardware: each is found within three tests, whatever
// guard is tried first, and the luminaires have their supply back within two seconds all the same.
import { describe, expect, it } from 'vitest';
import { Ending, Phase, Reason, TestKind } from '../../firmware/contract/codes';
import { Limit } from '../../firmware/contract/limits';
import type { EventRecord, ResultRecord } from '../../firmware/contract/messages';
import { type Ending as LateEnding, lateEndings } from '../../simulator/guards/faults';
import { Estate, HOURS, WINDOW, WINDOW_MS } from './estate';
import { readFaults } from './guards/results';

const NIGHTS = 5;
const DAY_SEC = 86_400;
const slots = Array.from({ length: NIGHTS }, (_, i) => [
  ...[i + 1, TestKind.Brief, WINDOW.start + i * DAY_SEC, WINDOW.end + i * DAY_SEC],
]);
const night = (i: number): number => WINDOW_MS + HOURS(24 * i);

const CODES: { [name in LateEnding]: Ending } = {
  'pulses stop low': Ending.StopsLow,
  'pulses stop high': Ending.StopsHigh,
  'enable falls': Ending.Enable,
};
/** Every set of late endings that a single fault of the circuit has in ngspice. */
const SETS = [...new Set(readFaults().rows.map(({ seen }) => lateEndings(seen).join(', ')))].filter(Boolean);

function guardsOf(e: Estate): number[] {
  return (e.of('result') as ResultRecord[]).map((r) => r.guard ?? -1);
}

describe('the guards of a relay', () => {
  it('take turns, each proven by the sense after the relay', () => {
    const e = new Estate({ slots, noise: true });
    e.run(night(NIGHTS));
    expect(guardsOf(e)).toEqual([
      Ending.StopsLow,
      Ending.StopsHigh,
      Ending.Enable,
      Ending.StopsLow,
      Ending.StopsHigh,
    ]);
    const back = (e.of('result') as ResultRecord[]).map((r) => r.restoreMs);
    // The detector waits for a pulse that does not come; `enable` releases at once.
    expect(back[0]).toBeGreaterThan(back[2] + 500);
    expect([e.of('fault'), e.watch.violations]).toEqual([[], []]);
  });

  it.each([Ending.StopsLow, Ending.StopsHigh, Ending.Enable])(
    'that fail are found within three tests: guard %i',
    (ending) => {
      for (const first of [0, 1, 2]) {
        const e = new Estate({
          slots,
          noise: true,
          // From before a given test on.
          spec: {
            faults: [{ kind: 'guard fails', at: night(first) - HOURS(1), repairedAt: night(99), ending }],
          },
        });
        const dark: number[] = [];
        e.node.plant.onSupply = (supplied, now) => dark.push(supplied ? -now : now);
        e.run(night(NIGHTS + 2));
        const faults = e.of('fault') as EventRecord[];
        expect(faults.map((r) => [r.reason, r.arg])).toEqual([[Reason.GuardSlow, ending]]);
        const found = guardsOf(e).length - 1;
        expect(found - first).toBeLessThan(3);
        expect(e.state).toMatchObject({ phase: Phase.Fault, reason: Reason.GuardSlow });
        // The test lasts 65 s from the turn that sees the supply gone; then the trial, and the relay's drop-out.
        const spans = dark.filter((at) => at > 0).map((at, i) => -dark[2 * i + 1] - at);
        expect(Math.max(...spans)).toBeLessThanOrEqual(65_000 + Limit.LoopMs + Limit.DetectorProofMs + 120);
        expect(e.watch.violations).toEqual([]);
      }
    },
  );

  it.each(SETS)('whose parts fail as in the kept table are found within three tests: %s', (late) => {
    const endings = late.split(', ').map((name) => CODES[name as LateEnding]);
    for (const first of [0, 1, 2]) {
      const faults = endings.map((ending) => ({
        ...({ kind: 'guard fails', at: night(first) - HOURS(1), repairedAt: night(99), ending } as const),
      }));
      const e = new Estate({ slots, noise: true, spec: { faults } });
      e.run(night(NIGHTS + 2));
      expect(guardsOf(e).length - 1 - first).toBeLessThan(3);
      expect(e.state).toMatchObject({ phase: Phase.Fault, reason: Reason.GuardSlow });
      expect([endings.includes((e.of('fault') as EventRecord[])[0].arg), e.watch.violations]).toEqual([
        true,
        [],
      ]);
    }
  });

  it('hold the relay no longer than the hardware timer when the program hangs and the detector has failed', () => {
    const at = WINDOW_MS + HOURS(0.01);
    const e = new Estate({
      slots: [[1, TestKind.Full, WINDOW.start, WINDOW.end]],
      spec: {
        faults: [
          { kind: 'guard fails', at: 0, repairedAt: night(99), ending: Ending.StopsLow },
          { kind: 'program hangs', at, to: at + HOURS(20) },
        ],
      },
    });
    e.run(at + HOURS(1));
    expect(e.node.plant.supplied).toBe(false);
    e.run(at + HOURS(4));
    expect(e.node.plant.supplied).toBe(true);
  });
});
