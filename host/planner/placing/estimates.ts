// Estimated cost of a circuit's tests on nights that might become its own, and how full those nights are.
import { TestKind } from '../../../firmware/contract/codes';
import type { Caps } from '../nights/calendar';
import { modulo } from '../nights/nights';
import { cheapestChain } from './chain';
import { type CircuitWork, lengthsOf, type Placing, type Share } from './circuitWork';
import { briefRules, firstBrief } from './placeBriefs';
import { firstLong, longRules } from './placeFulls';

/**
 * Hours by how full nights are: little while there is room for retries, much beyond (our choice, no source).
 */
const CROWD = { any: 0.002, retries: { from: 0.3, each: 0.5 }, full: { from: 0.8, each: 1000 } };

/** A circuit without own nights yet. */
export type Unshared = Omit<CircuitWork, 'share' | 'own' | 'at' | 'rank' | 'ranks'>;

/** The nights of one residue. */
export interface Own {
  places: Int32Array;
  /** Their numbers. */
  at: Int32Array;
}

export class Estimates {
  /** Hours for each residue, by group of similar circuits and by cycle; NaN where not yet calculated. */
  private readonly known: Map<number, Float64Array>[] = [];
  private readonly likenesses = new Map<string, number>();
  private readonly likenessOf = new Map<string, number>();
  private readonly owns = new Map<number, Own[]>();
  /** Function tests to be expected on each night from circuits that have a share. */
  private readonly expected: Float64Array;
  /** Function tests that fit in a night. */
  private readonly roomPerNight: number;

  constructor(
    private readonly placing: Placing,
    caps: Caps,
    briefNeedSec: number,
  ) {
    this.expected = new Float64Array(placing.nights.length);
    const lengths = placing.nights.map((night) => night.end - night.start).sort((a, b) => a - b);
    const middle = lengths[lengths.length >> 1] ?? 0;
    const starts = 1 + Math.floor((middle - briefNeedSec) / caps.staggerSec);
    this.roomPerNight = Math.max(1, Math.min(starts, caps.atOnce * Math.floor(middle / briefNeedSec)));
  }

  /** The permitted nights of a share. */
  own({ cycle, residue }: Share): Own {
    let of = this.owns.get(cycle);
    if (!of) {
      const { nights } = this.placing;
      const places: number[][] = Array.from({ length: cycle }, () => []);
      for (let i = 0; i < nights.length; i++) places[modulo(nights[i].night, cycle)].push(i);
      of = places.map((own) => ({
        places: Int32Array.from(own),
        at: Int32Array.from(own, (place) => nights[place].night),
      }));
      this.owns.set(cycle, of);
    }
    return of[residue];
  }

  /**
   * Hours of a circuit's tests on a share's nights if it had them to itself. Very similar circuits, with the
   * same people present and shares of the light within a few per cent, are calculated once.
   */
  hours(work: Unshared, share: Share): number {
    const { cycle, residue } = share;
    const like = this.likeness(work);
    let table = this.known[like].get(cycle);
    if (!table) {
      table = new Float64Array(cycle).fill(Number.NaN);
      this.known[like].set(cycle, table);
    }
    if (Number.isNaN(table[residue])) table[residue] = this.reckon(work, share);
    return table[residue];
  }

  crowd(share: Share): number {
    const { places } = this.own(share);
    let sum = 0;
    for (let i = 0; i < places.length; i++) sum += this.expected[places[i]];
    const full = sum / Math.max(1, places.length) / this.roomPerNight;
    const beyond = ({ from, each }: { from: number; each: number }) => Math.max(0, full - from) * each;
    return CROWD.any * full + beyond(CROWD.retries) + beyond(CROWD.full);
  }

  /** Counts a circuit's function tests on the nights of its share. */
  expect(share: Share): void {
    const each = Math.min(1, share.cycle / this.placing.profile.brief.everyDays.value);
    for (const place of this.own(share).places) this.expected[place] += each;
  }

  private likeness(work: Unshared): number {
    const { circuit, burden, longKind, lastBrief, lastLong } = work;
    const known = this.likenessOf.get(circuit.id);
    if (known !== undefined) return known;
    const { testSec } = lengthsOf(circuit, TestKind.Brief, this.placing.profile);
    const key = [longKind, circuit.ratedSec, testSec, lastBrief, lastLong, burden.rough].join(' ');
    let like = this.likenesses.get(key);
    if (like === undefined) {
      like = this.known.push(new Map()) - 1;
      this.likenesses.set(key, like);
    }
    this.likenessOf.set(circuit.id, like);
    return like;
  }

  private reckon(work: Unshared, share: Share): number {
    const { placing } = this;
    const { places, at } = this.own(share);
    const long = longRules(placing);
    // The middle turn of all.
    const turn = firstLong(placing, long, { lastLong: work.lastLong, index: (placing.circuits - 1) / 2 });
    const longCost = placing.prices.of(placing, work, work.longKind, places);
    const longs = cheapestChain(
      { at, cost: longCost, none: turn.none, first: (i) => turn.first(at[i]) },
      long,
    );
    const brief = briefRules(placing);
    const cost = placing.prices.of(placing, work, TestKind.Brief, places);
    const start = firstBrief(placing, brief, { lastBrief: work.lastBrief, rank: 0 }, at);
    return longs.cost + cheapestChain({ at, cost, ...start }, brief).cost;
  }
}
