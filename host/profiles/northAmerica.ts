// United States and Canada. Equipment in emergency circuits must be listed there; ours is not.
import {
  cite,
  due,
  dueAsRead,
  duty,
  lampLimits,
  MONTHLY,
  minutes,
  monthly,
  practice,
  RATED,
  reading,
  type SourceDocument,
  shortBrief,
  YEARLY,
  yearly,
} from './cite';
import type { RuleProfile } from './rule';

const NFPA: SourceDocument = {
  source: 'NFPA 101 (2012), through a guide of the Minnesota Department of Health',
  year: 2012,
  status: 'V1',
};
const NFPA_HOSPITALS: SourceDocument = {
  source: 'NFPA 101 (2012), restated by a hospital-engineering society in 2017',
  year: 2012,
  status: 'V2',
};
const NFPA_COMPUTER: SourceDocument = {
  source: 'NFPA 101 (2012), from memory; that the clause exists was read in a summary',
  year: 2012,
  status: 'M',
};
const NEW_YORK: SourceDocument = { source: 'page of the City of Canandaigua, New York', status: 'V1' };
const MINNESOTA: SourceDocument = {
  source: 'Minnesota State Fire Code, on a page of the State Fire Marshal',
  status: 'V1',
};
const ONTARIO: SourceDocument = {
  source: 'Ontario Fire Code; National Fire Code of Canada 6.5.1.6',
  status: 'V1',
};

const UL_924: SourceDocument = { source: 'UL 924, restated by a trade article of 2022', status: 'V2' };

const NOT_LISTED =
  'Nightproof is not listed to UL 924 (scope, 10th ed. 2016: covers automatic load control relays). Do not ' +
  'fit it in emergency circuits in the United States.';
const LIMITS =
  'Light is wanted within 10 s, but the controller looks at 5 s and at 60 s, as EN 1838 and IEC 60598-2-22 have it: a ' +
  'luminaire that takes 5 to 10 s is failed although the American rule accepts it. The 24 h of recharge are ' +
  'practice with IEC luminaires; we saw no American text.';
const SUPPLY =
  'The International Fire Code (1031.10, 604.5 in 2012) counts only a test that cuts the normal supply, not one ' +
  'through a lamp-test path (from a summary); the controller cuts the supply.';

/** Yearly for 90 min, lit throughout. */
function ninetyMinutes(document: SourceDocument, clause: string): Pick<RuleProfile, 'full' | 'fullLength'> {
  return {
    full: yearly(document, clause, 'annually'),
    fullLength: { least: cite(document, minutes(90), clause) },
  };
}

/** Light within 10 s; what is measured at 5 s and from 60 s on is borrowed from Europe. */
function lamps(): Pick<RuleProfile, 'lightWithinSec' | 'earlyPercent' | 'floorPercent'> {
  return { lightWithinSec: cite(UL_924, 10, ''), ...lampLimits() };
}

/** Automatically at least every 30 days, for at least 30 s. */
function everyThirtyDays(document: SourceDocument, clause: string): RuleProfile['brief'] {
  return {
    ...shortBrief(),
    everyDays: cite(document, 30, clause),
    latestDays: cite(document, 30, clause),
    earliestDays: practice(20),
    leastSec: cite(document, 30, clause),
  };
}

const fullTime = duty(NFPA, 'always', 'equipment is fully operating for the whole of each test', '7.9.3.1.1');
const cityRecords = duty(
  NEW_YORK,
  'with each yearly test, in New York State',
  'record location, pass or fail, date and person; keep it 3 years on the premises',
);

export const nfpa101Manual: RuleProfile = {
  name: 'nfpa101-manual',
  title: 'NFPA 101 7.9.3.1.1: function tests every 30 days, at least three weeks apart, yearly 90 min',
  brief: {
    ...shortBrief(),
    everyDays: practice(28),
    latestDays: cite(NFPA, 30, '7.9.3.1.1'),
    // Five weeks at most, and only with the authority's approval.
    agreedDays: cite(NFPA, 35, '7.9.3.1.1'),
    earliestDays: practice(24),
    leastGapDays: cite(NFPA, 21, '7.9.3.1.1'),
    leastSec: cite(NFPA, 30, '7.9.3.1.1'),
  },
  ...ninetyMinutes(NFPA, '7.9.3.1.1'),
  records: {
    kept: cite(NFPA, 'written records for the authority', '7.9.3.1.1'),
    years: practice(4),
  },
  duties: [fullTime, cityRecords],
  notes: [
    'Tests may be up to 35 days apart only if the authority having jurisdiction has agreed to more than 30: then write ' +
      'authorityAgreement, with reference and briefDays, in the site file. Without it the limit is 30 days.',
    'A second chance for a test is planned only where it is at least three weeks from the next test and within the ' +
      'limit after the one before: hardly ever within 30 days, more often within 35.',
    SUPPLY,
    LIMITS,
    NOT_LISTED,
  ],
  ...lamps(),
};

export const nfpa101SelfTesting: RuleProfile = {
  name: 'nfpa101-self-testing',
  title: 'NFPA 101 7.9.3.1.2: self-testing units, every 30 days, yearly 90 min',
  brief: everyThirtyDays(NFPA, '7.9.3.1.2'),
  ...ninetyMinutes(NFPA, '7.9.3.1.2'),
  records: { kept: cite(NFPA, 'written records', '7.9.3.1.2'), years: practice(4) },
  duties: [
    due('walk', MONTHLY, duty(NFPA, 'monthly', 'look at the status indicator of each unit', '7.9.3.1.2')),
    fullTime,
    cityRecords,
  ],
  notes: [
    'The clause is about units that test themselves; a controller beside the luminaires is closer to 7.9.3.1.3.',
    SUPPLY,
    LIMITS,
    NOT_LISTED,
  ],
  ...lamps(),
};

export const nfpa101Computer: RuleProfile = {
  name: 'nfpa101-computer',
  title: 'NFPA 101 7.9.3.1.3: computer-based, every 30 days, yearly 90 min',
  brief: everyThirtyDays(NFPA_COMPUTER, '7.9.3.1.3'),
  ...ninetyMinutes(NFPA_COMPUTER, '7.9.3.1.3'),
  records: {
    kept: cite(NFPA_COMPUTER, 'the history of tests and failures can be reported at any time', '7.9.3.1.3'),
    years: practice(4),
  },
  duties: [
    duty(NFPA_HOSPITALS, 'always', 'equipment is fully operating for the whole of each test', '7.9.3'),
    cityRecords,
  ],
  notes: [
    'This clause is the one in the United States closest to this design, but its numbers are from memory: ' +
      'compare them with the text first.',
    SUPPLY,
    LIMITS,
    NOT_LISTED,
  ],
  ...lamps(),
};

export const minnesota: RuleProfile = {
  name: 'minnesota',
  title: 'Minnesota, existing buildings: monthly 30 s, yearly 30 min',
  brief: {
    ...monthly(MINNESOTA, '604.5, 1104.5.3'),
    ...shortBrief(),
    leastSec: cite(MINNESOTA, 30, '604.5, 1104.5.3'),
  },
  full: yearly(MINNESOTA, '604.5, 1104.5.3', 'annual'),
  fullLength: { least: cite(MINNESOTA, minutes(30), '604.5, 1104.5.3') },
  records: { kept: practice('date, location, result and person of each test'), years: practice(4) },
  duties: [],
  notes: ['Other buildings there follow NFPA 101 with its 90 min.', SUPPLY, LIMITS, NOT_LISTED],
  ...lamps(),
};

export const canada: RuleProfile = {
  name: 'canada',
  title: 'Canada, Ontario Fire Code: monthly function test, yearly for the design duration',
  brief: { ...monthly(ONTARIO, '2.7.3.3'), ...shortBrief() },
  full: yearly(ONTARIO, '2.7.3.3'),
  fullLength: { least: reading(ONTARIO, RATED, 'the design duration', '2.7.3.3') },
  records: { kept: cite(ONTARIO, 'written records', ''), years: practice(4) },
  duties: [
    due(
      'battery-look',
      MONTHLY,
      duty(
        ONTARIO,
        'monthly',
        'inspect pilot light, terminals and the surface of the battery',
        '2.7.3.3; 6.7.1.6',
      ),
    ),
    dueAsRead(
      'charging',
      YEARLY,
      ONTARIO,
      duty(
        ONTARIO,
        'after each duration test',
        "check charging voltage, charging current and recovery period against the maker's data",
        '2.7.3.3(4)',
      ),
    ),
  ],
  notes: [
    'Older public buildings in Quebec (S-3, r. 2, s. 34) are inspected monthly and rated 1 h or half an hour.',
    'We read no Canadian text on how soon light must come: the 10 s of the United States (UL 924) are not taken over ' +
      'here. The controller looks at 5 s and 60 s, as EN 1838 and IEC 60598-2-22 have it; 24 h of recharge are practice.',
  ],
  ...lampLimits(),
};
