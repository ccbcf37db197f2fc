// When a circuit's next duration test is due, whether or not it ever had one.
import type { RuleProfile } from '../../profiles/profile';
import type { Circuit } from '../../site/model';
import type { CircuitStanding } from '../history/history';
import type { CircuitNotes } from '../notes/entered';

const DAY_SEC = 86_400;

/** True where limited tests stand for duration tests: people are always there, and the rule names them. */
export function acceptsLimited(circuit: Circuit, { fullLength }: RuleProfile): boolean {
  return circuit.alwaysOccupied && fullLength.instead !== undefined;
}

/**
 * UTC second by which the next duration test is due, 0 if that is not known. One that never was is counted from the
 * circuit's first settings by the host's clock; limited tests put it off where they are accepted.
 * @param days after a duration test by which the next one is due
 */
export function fullDueAt(
  circuit: Circuit,
  { fullAt, last }: Pick<CircuitStanding, 'fullAt' | 'last'>,
  { listedAt }: Pick<CircuitNotes, 'listedAt'>,
  profile: RuleProfile,
  days = profile.full.latestDays.value,
): number {
  if (fullAt > 0) return fullAt + days * DAY_SEC;
  if (listedAt === 0) return 0;
  const limited = acceptsLimited(circuit, profile) ? (last.lastLimited ?? 0) : 0;
  return Math.max(listedAt, limited) + days * DAY_SEC;
}
