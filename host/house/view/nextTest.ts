// When the plan has a test that shows enough.
import { type CircuitHistory, openSlots } from '../../planner/placing/startWorks';
import type { Plan, Slot } from '../../planner/plan/plan';
import { type KindWord, kindWord } from '../../words/codes';
import { SHOWS } from '../history/lamps';

/** Slots of each circuit of a plan, which never changes once it is made. */
const slotsOf = new WeakMap<Plan, ReadonlyMap<string, readonly Slot[]>>();

function slotsIn(plan: Plan, circuit: string): readonly Slot[] {
  let slots = slotsOf.get(plan);
  if (!slots) {
    slots = new Map(plan.circuits.map((one) => [one.circuit, one.slots]));
    slotsOf.set(plan, slots);
  }
  return slots.get(circuit) ?? [];
}

/**
 * UTC second of the next planned test of a circuit that shows at least what a test of the kind needed would; 0 if
 * none is planned.
 * @param after UTC second of a test that was stopped: its own window is used up
 */
export function nextTest(
  plan: Plan | undefined,
  circuit: string,
  history: CircuitHistory,
  needs: KindWord,
  now: number,
  after = 0,
): number {
  const slots = plan ? slotsIn(plan, circuit) : [];
  const starts = openSlots(slots, history)
    .filter((slot) => slot.end > now && slot.start > after && SHOWS[kindWord(slot.kind)] >= SHOWS[needs])
    .map(({ start }) => start);
  return starts.length > 0 ? Math.min(...starts) : 0;
}
