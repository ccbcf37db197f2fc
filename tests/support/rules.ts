import type { RuleSpec } from '../../simulator/spec';

/** Rules for a simulated controller that no watch checks. */
export function noRules(): RuleSpec {
  return {
    slots: [],
    cycle: 1,
    residue: 0,
    noon: 0,
    fallbackFrom: 0,
    fallbackSec: 0,
    planUntil: 0,
    briefSec: 90,
    ratedSec: 10800,
    rechargeSec: 86400,
    briefRechargeSec: 3600,
  };
}
