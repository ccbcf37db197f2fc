// The prices of a circuit's own nights as they stand. To find the slot that a test would get in a night takes long, so
// it is looked for only where that may decide which nights are taken; elsewhere a price that is surely no higher does.
import type { TestKind } from '../../../firmware/contract/codes';
import type { Lengths } from '../cost/starts';
import type { Chain } from './chain';
import { type Choice, chooseSlot, surelyFits, take } from './chooseSlot';
import { type CircuitWork, lengthsOf, type Placing } from './circuitWork';
import { priceOn } from './prices';

export class NightPrices {
  /** By index among own nights: the price, or one no higher where `known` is 0. */
  private readonly prices: number[] = [];
  private readonly known: Uint8Array;
  /** The slots of known prices; undefined where nothing fits. */
  private readonly choices: (Choice | undefined)[] = [];
  private readonly lengths: Lengths;
  private readonly common: Float64Array;

  constructor(
    private readonly placing: Placing,
    private readonly work: CircuitWork,
    private readonly kind: TestKind,
  ) {
    const { own, burden } = work;
    this.lengths = lengthsOf(work.circuit, kind, placing.profile);
    this.common = placing.prices.commonOf(placing, work, kind);
    this.known = new Uint8Array(own.length);
    const fewest = placing.starts.fewest(burden, this.lengths);
    for (let i = 0; i < own.length; i++) {
      const place = own[i];
      if (
        this.common[place] < Number.POSITIVE_INFINITY &&
        surelyFits(placing, work, kind, place, this.lengths)
      ) {
        let sec = 0;
        for (let p = 0; p < fewest.length; p++) sec += burden.parts[p].share * fewest[p][place];
        this.prices.push(priceOn(placing, kind, place, this.common, sec / 3600));
      } else this.find(i);
    }
  }

  /** The chain that `choose` would find if it were given all prices. */
  cheapest(choose: (prices: number[]) => Chain): Chain {
    let chain = choose(this.prices);
    while (!this.areRight(chain)) chain = choose(this.prices);
    return chain;
  }

  /** Puts a test on an own night of a chain that was found to be the cheapest. */
  take(i: number): void {
    const choice = this.choices[i];
    const { placing, work } = this;
    const place = work.own[i];
    if (!choice)
      throw new Error(`Circuit ${work.circuit.id} has no room on night ${placing.nights[place].night}.`);
    take(placing, work, place, choice);
  }

  /** Whether a chain was chosen by the true prices of its own nights: no other can then be cheaper. */
  private areRight({ places }: Chain): boolean {
    let areRight = true;
    for (const i of places) {
      if (this.known[i]) continue;
      const before = this.prices[i];
      this.find(i);
      areRight &&= this.prices[i] === before;
    }
    return areRight;
  }

  private find(i: number): void {
    const { placing, work, kind, lengths, common } = this;
    const place = work.own[i];
    this.known[i] = 1;
    this.prices[i] = Number.POSITIVE_INFINITY;
    if (common[place] === Number.POSITIVE_INFINITY) return;
    const choice = chooseSlot(placing, work, kind, place, lengths);
    this.choices[i] = choice;
    if (choice) this.prices[i] = priceOn(placing, kind, place, common, choice.hours);
  }
}
