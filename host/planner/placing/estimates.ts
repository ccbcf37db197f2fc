// Estimated cost of a circuit's tests on nights that might become its own, and how full those nights are.
import { TestKind } from '../../../firmware/contract/codes';
import type { Caps } from '../nights/calendar';
import { modulo } from '../nights/nights';
import { cheapestChain } from './chain';
import { type CircuitWork, lengthsOf, type Placing, type Share, type SharedNights } from './circuitWork';
import { furtherChain, furtherRules, hoursOfChain } from './furtherChain';
import { briefRules, firstBrief } from './placeBriefs';
import { firstLong, longRules } from './placeFulls';
import { furtherPrice } from './prices';
import { hoursIn } from './sharedNights';

/**
 * Hours by how full nights are: little while there is room for retries, much beyond (our choice, no source).
 */
const CROWD = { any: 0.002, retries: { from: 0.3, each: 0.5 }, full: { from: 0.8, each: 1000 } };

/** A circuit without own nights yet. */
export type Unshared = Omit<CircuitWork, 'share' | 'own' | 'at' | 'hoursAt' | 'rank' | 'ranks'>;

/** The nights of one residue. */
export interface Own {
  places: Int32Array;
  /** Their numbers. */
  at: Int32Array;
}

export class Estimates {
  /** Hours for each residue, by group of similar circuits and by what is asked; NaN where not yet calculated. */
  private readonly known: Map<string | number, Float64Array>[] = [];
  private readonly likenesses = new Map<string, number>();
  /** By index of a circuit. */
  private readonly likenessOf: number[] = [];
  /** By group of similar circuits and cycle, hours on every residue. */
  private readonly whole: Float64Array[][] = [];
  private readonly owns = new Map<number, Own[]>();
  /** Prices on all nights of the circuits that stand for those alike, by kind; NaN where not yet calculated. */
  private readonly priced = new Map<Unshared, Float64Array[]>();
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

  /** The permitted nights with a residue. */
  own({ cycle, residue }: Pick<Share, 'cycle' | 'residue'>): Own {
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
   * Hours of a circuit's tests on a share's own nights if it had them to itself. Very similar circuits, with the
   * same people present and shares of the light within a few per cent, are calculated once.
   */
  hours(work: Unshared, { cycle, residue }: Share): number {
    return this.hoursOf(work, cycle)[residue];
  }

  /** The same for all residues of a cycle. */
  hoursOf(work: Unshared, cycle: number): Float64Array {
    const like = this.likeness(work);
    this.whole[like] ??= [];
    this.whole[like][cycle] ??= this.calculateHours(work, cycle);
    return this.whole[like][cycle];
  }

  private calculateHours(work: Unshared, cycle: number): Float64Array {
    const hours = new Float64Array(cycle);
    for (let residue = 0; residue < cycle; residue++) {
      const share = { cycle, residue };
      const own = this.own(share);
      const cost = this.pricesOn(work, TestKind.Brief, own.places);
      hours[residue] =
        this.longHours(work, share) +
        this.briefChain(work, own.at, cost) +
        this.furtherHours(work, TestKind.Brief, own, cost);
    }
    return hours;
  }

  /** The same of its longer tests alone. */
  longHours(work: Unshared, { cycle, residue }: Share): number {
    const table = this.tableOf(work, cycle, cycle);
    if (Number.isNaN(table[residue])) table[residue] = this.longChain(work, { cycle, residue });
    return table[residue];
  }

  /** The same of its function tests in its own hours of shared nights. */
  sharedHours(work: Unshared, shared: SharedNights): number {
    const { cycle, residue, from, sec } = shared;
    const table = this.tableOf(work, `${cycle} ${from} ${sec}`, cycle);
    if (Number.isNaN(table[residue])) table[residue] = this.calculateShared(work, shared);
    return table[residue];
  }

  private calculateShared(work: Unshared, shared: SharedNights): number {
    const { places, at } = this.own(shared);
    const { nights, noon, prices, starts, profile } = this.placing;
    const common = prices.commonOf(this.placing, work, TestKind.Brief);
    const lengths = lengthsOf(work.circuit, TestKind.Brief, profile);
    const cost = Array.from(places, (place) => {
      const hours = hoursIn(nights[place], noon, shared);
      const last = hours.end - lengths.rechargeSec - lengths.needSec;
      return common[place] + starts.leastBetween(place, work.burden, lengths, hours.start, last);
    });
    return this.briefChain(work, at, cost) + this.furtherHours(work, TestKind.Brief, { places, at }, cost);
  }

  crowd(share: Share): number {
    const { places } = this.own(share.shared ?? share);
    let sum = 0;
    for (let i = 0; i < places.length; i++) sum += this.expected[places[i]];
    const full = sum / Math.max(1, places.length) / this.roomPerNight;
    const beyond = ({ from, each }: { from: number; each: number }) => Math.max(0, full - from) * each;
    return CROWD.any * full + beyond(CROWD.retries) + beyond(CROWD.full);
  }

  /** Counts a circuit's function tests on the nights of its share. */
  expect(share: Share): void {
    const nights = share.shared ?? share;
    const each = Math.min(1, nights.cycle / this.placing.profile.brief.everyDays.value);
    for (const place of this.own(nights).places) this.expected[place] += each;
  }

  /** The permitted nights of a share, own and shared, and the hours in those that are only shared. */
  nightsOf(share: Share): Own & Pick<CircuitWork, 'hoursAt'> {
    const { places, at } = this.own(share);
    const { shared } = share;
    if (!shared) return { places, at, hoursAt: new Map() };
    const { nights, noon } = this.placing;
    const hoursAt = new Map(
      [...this.own(shared).places].map((place) => [place, hoursIn(nights[place], noon, shared)]),
    );
    for (const place of places) hoursAt.delete(place);
    const all = Int32Array.from([...places, ...hoursAt.keys()].sort((a, b) => a - b));
    return { places: all, at: all.map((place) => nights[place].night), hoursAt };
  }

  /** Equal for circuits whose tests cost nearly the same on any nights. */
  likeness(work: Unshared): number {
    const { circuit, index, burden, longKind, lastBrief, lastLong } = work;
    const known = this.likenessOf[index];
    if (known !== undefined) return known;
    const { testSec } = lengthsOf(circuit, TestKind.Brief, this.placing.profile);
    const further = furtherRules(this.placing, work, true);
    const wished = further && `${further.aim} ${further.perHour}`;
    const key = [longKind, circuit.ratedSec, testSec, lastBrief, lastLong, burden.rough, wished].join(' ');
    let like = this.likenesses.get(key);
    if (like === undefined) {
      like = this.known.push(new Map()) - 1;
      this.likenesses.set(key, like);
    }
    this.likenessOf[index] = like;
    return like;
  }

  /** What is calculated once for similar circuits: of longer tests on own nights by cycle, of others by what is asked. */
  private tableOf(work: Unshared, asked: string | number, cycle: number): Float64Array {
    const known = this.known[this.likeness(work)];
    let table = known.get(asked);
    if (!table) {
      table = new Float64Array(cycle).fill(Number.NaN);
      known.set(asked, table);
    }
    return table;
  }

  /** Prices of a test on nights while they are empty, each calculated once for all cycles. */
  private pricesOn(work: Unshared, kind: TestKind, places: Int32Array): number[] {
    const { placing } = this;
    let byKind = this.priced.get(work);
    if (!byKind) {
      byKind = [];
      this.priced.set(work, byKind);
    }
    byKind[kind] ??= new Float64Array(placing.nights.length).fill(Number.NaN);
    const known = byKind[kind];
    const common = placing.prices.commonOf(placing, work, kind);
    const lengths = lengthsOf(work.circuit, kind, placing.profile);
    const prices: number[] = [];
    for (let i = 0; i < places.length; i++) {
      const place = places[i];
      if (Number.isNaN(known[place]))
        known[place] = common[place] + placing.starts.least(place, work.burden, lengths);
      prices.push(known[place]);
    }
    return prices;
  }

  private longChain(work: Unshared, share: Share): number {
    const { placing } = this;
    const { places, at } = this.own(share);
    const long = longRules(placing);
    // The middle turn of all.
    const { lastLong, burden } = work;
    const turn = firstLong(placing, long, { lastLong, burden, index: (placing.circuits - 1) / 2 });
    const cost = this.pricesOn(work, work.longKind, places);
    return (
      cheapestChain({ at, cost, none: turn.none, first: (i) => turn.first(at[i]) }, long).cost +
      this.furtherHours(work, work.longKind, { places, at }, cost)
    );
  }

  /**
   * What it costs that further tests come as rarely as these nights let them, hours.
   * @param prices of a test on each night, hours
   */
  private furtherHours(work: Unshared, kind: TestKind, { places, at }: Own, prices: number[]): number {
    const { placing } = this;
    const rules = furtherRules(placing, work, kind !== TestKind.Brief);
    if (!rules) return 0;
    const common = placing.prices.commonOf(placing, work, kind);
    const cost = Float64Array.from(prices, (price, i) =>
      furtherPrice(kind, common[places[i]], price - common[places[i]], rules.perHour),
    );
    const chain = furtherChain({ at, cost, tested: new Uint8Array(at.length) }, rules);
    return hoursOfChain(chain.cost, rules, placing);
  }

  private briefChain(work: Unshared, at: Int32Array, cost: number[]): number {
    const { placing } = this;
    const brief = briefRules(placing);
    const { first, none } = firstBrief(placing, brief, { lastBrief: work.lastBrief, rank: 0 }, at);
    return cheapestChain({ at, cost, first, none }, brief).cost;
  }
}
