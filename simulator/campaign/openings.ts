// I4 and I5 as they show in the log book of one circuit: every intent has exactly one result, and what was
// ordered may only end, hold or lengthen.
import { OrderKind } from '../../firmware/contract/codes';
import { textField } from '../../firmware/contract/fields';
import type { OrderWish } from './schedule';

export class Openings {
  intents = 0;
  results = 0;
  /** When somebody last asked for a longer brief test, simulated ms. */
  extendedAt = Number.NEGATIVE_INFINITY;

  /** The next record of this circuit. @returns what it breaks, or '' */
  record(text: string): string {
    const kind = textField(text, 'kind');
    if (kind === 'intent') {
      this.intents++;
      return this.intents === this.results + 1
        ? ''
        : 'I4 an opening was announced before the last one had a result';
    }
    if (kind !== 'result') return '';
    this.results++;
    return this.results === this.intents ? '' : 'I4 a result came for no opening';
  }

  ordered(wish: OrderWish, now: number): void {
    if (wish.do === OrderKind.Extend) this.extendedAt = now;
  }

  /** What is owed at the end of a run, or ''. */
  owed(openings: number): string {
    if (this.intents !== this.results) return 'I4 an opening has left no result';
    return openings > this.intents
      ? `I4 the relay opened ${openings} times, announced ${this.intents} times`
      : '';
  }
}
