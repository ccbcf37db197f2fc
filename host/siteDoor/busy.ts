// Which circuits a change of the site file is about, and what they must not be in: a test, or trouble that nobody would
// be told of any more.
import { Limit } from '../../firmware/contract/limits';
import type { ControllerStatus } from '../api/views';
import { type Item, isSame, type SiteData } from '../site/edit/data';

/** Says nothing about how a circuit is tested or judged. */
const WORDS = ['name', 'place', 'floorPlan', 'across', 'down'];
/** Sets how all circuits are tested and judged. */
const RULES = ['profile', 'complianceSchedule', 'authorityAgreement'];

function withoutWords(item: Item): Item {
  return Object.fromEntries(
    Object.entries(item)
      .filter(([field]) => !WORDS.includes(field))
      .map(([field, value]) => [field, field === 'luminaires' ? (value as Item[]).map(withoutWords) : value]),
  );
}

/** Ids of the circuits that are tested or judged in another way afterwards, or are gone. */
export function circuitsChanged(before: SiteData, after: SiteData): string[] {
  const isRule = RULES.some((field) => !isSame(before[field] ?? null, after[field] ?? null));
  const left = new Map(after.circuits.map((circuit) => [circuit.id, circuit]));
  return before.circuits
    .filter((circuit) => {
      const now = left.get(circuit.id);
      return isRule || !now || !isSame(withoutWords(circuit), withoutWords(now));
    })
    .map(({ id }) => String(id));
}

/** What is wrong on a circuit, as far as it is known; '' if nothing is. */
function troubleOf({ phase, troubleAt, supplyAfter, relayOpen }: ControllerStatus): string {
  if (phase === 'fault' || troubleAt.fault > 0) return 'a tester fault is reported on';
  if (phase === 'outage' || troubleAt.outage > 0) return 'the mains is missing on';
  if (phase === 'held' || troubleAt.held > 0) return 'tests are held on';
  const isProven = supplyAfter === true && relayOpen === false;
  return phase === 'unknown' || isProven ? '' : 'the supply is not proven on';
}

export interface Hindrance {
  /** What is so, without a full stop. */
  why: string;
  /** What can be done before the change is saved, as it follows that. */
  todo: string;
  /** What can be done once it is saved; '' where it is only to be waited for. */
  saved: string;
}

/**
 * Whether the test of a silent controller must be over, whatever became of the controller: no setting and no order,
 * heard of or not, keeps a relay open for longer (I1).
 */
function mustBeOver({ contact, heardAt }: ControllerStatus, now: number): boolean {
  return contact === 'silent' && now - heardAt > Limit.OpenCapSec + Limit.OpenGraceSec;
}

/**
 * Why a circuit cannot be tested or judged in another way now, or go; undefined if it can.
 * @param now UTC second
 */
export function inTheWay(status: ControllerStatus, isGone: boolean, now: number): Hindrance | undefined {
  const { circuit, kind, contact } = status;
  const byHand = 'is gone for good, change the file itself, and start the host again.';
  const again = 'is gone for good, start the host again';
  const isTesting = kind !== '' && !mustBeOver(status, now);
  if (isTesting && contact === 'silent')
    return {
      why: `a test was running on circuit ${circuit}, which this changes, when its controller was last heard`,
      todo: `; if the controller ${byHand}`,
      saved: `; if the controller ${again}`,
    };
  if (isTesting)
    return {
      why: `a test is running on circuit ${circuit}, which this changes`,
      todo: '. Save it when the test is over.',
      saved: '',
    };
  const trouble = isGone ? troubleOf(status) : '';
  if (trouble === '') return undefined;
  return {
    why: `${trouble} circuit ${circuit}, and its alarm would go with it`,
    todo: `; if the circuit ${byHand}`,
    saved: `; if the circuit ${again}`,
  };
}
