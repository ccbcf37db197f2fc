// The guard circuits over tolerances and temperature, in ngspice, and their nominal values against formulas by hand.
import { describe, expect, it } from 'vitest';
import { COUNTED_PERIODS, guardBoard } from '../../../simulator/guards/board';
import type { Range } from '../../../simulator/guards/document';
import { LIMITS } from '../../../simulator/guards/faults';
import { commands, netlist } from '../../../simulator/guards/netlist';
import { ratedValue } from '../../../simulator/guards/part';
import { endings, fastPace, ownPace, type Timeline } from '../../../simulator/guards/timeline';
import { sizes } from '../../support/depth';
import { type Measured, spice } from '../../support/spice';
import { chargePump } from './chargePump';
import { periodOf, releasedAfter } from './observe';
import { readPieces } from './results';
import { COLD_ROOM_HOT, measure, measureEndings, runSamples } from './tolerances';

async function nominal(timeline: Timeline): Promise<Measured> {
  const bench = { circuit: guardBoard, timeline, breakages: [], stages: 14, celsius: 25 };
  return (await spice(netlist(bench), [commands(guardBoard, timeline)]))[0];
}

const ohm = (id: string) => ratedValue(guardBoard, id);

const isWithin = (inner: Range, outer: Range) => inner[0] >= outer[0] && inner[1] <= outer[1];

describe('the guard board', () => {
  it.each(COLD_ROOM_HOT)('keeps its limits in every piece at %i °C', async (celsius) => {
    const m = await measure(celsius, sizes.guardSamples);
    expect(m.complaints).toEqual({});
    expect(isWithin(m.timerSec, [LIMITS.timerSecMin, LIMITS.timerSecMax])).toBe(true);
    expect(isWithin(m.hurriedSec, [LIMITS.hurriedSecMin, LIMITS.hurriedSecMax])).toBe(true);
    // The kept thousand has these pieces in it: ngspice still says the same of them.
    const kept = readPieces().rows.find((one) => one.celsius === celsius)!;
    for (const name of ['stopsLowMs', 'stopsHighMs', 'enableMs', 'timerSec', 'hurriedSec'] as const)
      expect(isWithin(m[name], [kept[name][0] * 0.995 - 1, kept[name][1] * 1.005 + 1]), name).toBe(true);
    console.log(`${celsius} °C, ${sizes.guardSamples} pieces: ${JSON.stringify(m)}`);
  });

  it('releases after R4·C1 and counts 8,192 periods of R11·C2, as formulas say', async () => {
    // Monostable: factor·R·C, factor 1.05; the coil's current adds some milliseconds.
    const hold = 1.05 * ohm('R4') * ohm('C1');
    const released = releasedAfter(guardBoard, endings, 'low', await nominal(endings));
    expect(Math.abs(released - hold)).toBeLessThan(0.015);
    // Oscillator with its threshold in the middle of the supply: the swing starts a whole supply beyond the
    // threshold and decays by a factor of 3 twice a period: 2·ln 3·R·C.
    const own = periodOf(ownPace, await nominal(ownPace));
    const byHand = 2 * Math.log(3) * ohm('R11') * ohm('C2');
    expect(Math.abs(own / byHand - 1)).toBeLessThan(0.015);
    // Fast: R17, the photo-MOSFET and two outputs in series, beside R11; the outputs also lower the swing.
    const quick = 1 / (1 / ohm('R11') + 1 / (ohm('R17') + 30 + 300));
    const fast = periodOf(fastPace, await nominal(fastPace));
    expect(Math.abs(fast / (2 * Math.log(3) * quick * ohm('C2')) - 1)).toBeLessThan(0.06);
    expect(own * COUNTED_PERIODS).toBeGreaterThan(LIMITS.timerSecMin);
  });
});

/** Pulses, then the pin stays high for 12 s. */
const stuckHigh: Timeline = {
  ...endings,
  end: 17,
  drive: endings.drive.filter(([at]) => at < 5).concat([[5, 1]]),
  enable: [[2, 1]],
  held: [],
  releases: [{ name: 'high', from: 5, to: 17 }],
};

describe('a charge pump with too large a coupling capacitor', () => {
  it('is refused by the same suite', async () => {
    const pieces = Math.min(20, sizes.guardSamples);
    const { complaints } = await measureEndings(chargePump, chargePump, 25, pieces);
    expect(complaints).toEqual({ 'held by a pin stuck high': pieces });
  });

  it('holds the coil for some 7 s when its pin sticks high', async () => {
    const runs = await runSamples(chargePump, chargePump, stuckHigh, 25, Math.min(20, sizes.guardSamples));
    const held = runs.map((m) => releasedAfter(chargePump, stuckHigh, 'high', m));
    // By hand: 11 µF and 390 kΩ fall from 11.2 V to 2.0 V in 7.4 s; ±20 % of it and more over tolerances.
    const byHand = (10e-6 + 1e-6) * 390e3 * Math.log(11.2 / 2);
    for (const sec of held) expect(Math.abs(sec / byHand - 1)).toBeLessThan(0.35);
  });
});
