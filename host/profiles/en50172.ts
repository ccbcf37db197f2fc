import type { Ruled, RuleProfile } from './profile';

// EN 50172:2004 was read only as contractors restate it, the 2024 edition only in summaries: these
// values follow that practice and are no claim of compliance.

function practice(value: number): Ruled {
  return { value, source: 'common practice, no source', clause: '', fromMemory: false };
}

function ruled(value: number, source: string, clause: string, fromMemory = false): Ruled {
  return { value, source, clause, fromMemory };
}

const STANDARD = 'EN 50172:2004 (secondary restatement)';

/** The default profile: monthly brief test, yearly full test, 24 h recharge. */
export const en50172: RuleProfile = {
  name: 'en50172',
  title: 'EN 50172: monthly brief test, yearly full-duration test',
  brief: {
    // "Monthly": four weeks is aimed at, the longest month is the end of patience.
    everyDays: ruled(28, STANDARD, '7.2, monthly'),
    latestDays: ruled(31, STANDARD, '7.2, monthly'),
    earliestDays: practice(20),
    // "Long enough to see each lamp lit", and past the 60 s point of EN 1838.
    lengthSec: practice(90),
    partOfRated: ruled(4, 'CIE 193:2010 (through GOST R 55842-2013, annex A)', 'annex A'),
    rechargeSec: practice(3600),
  },
  full: {
    latestDays: ruled(365, STANDARD, '7.2, annual'),
    earlierDays: practice(60),
    rechargeSec: ruled(86400, STANDARD, '7.1; 24 h also from memory of IEC 62034 and IEC 60598-2-22', true),
  },
  earlyPercent: ruled(50, 'EN 1838 and IEC 60598-2-22 (secondary restatement)', '50 % within 5 s'),
  // The standards ask for light, not current; a lamp near its end falls far below this within seconds.
  floorPercent: practice(70),
};
