// European countries whose rules go beyond EN 50172. All were read in other people's summaries.
import {
  cite,
  due,
  dueByPractice,
  duty,
  fullByDay,
  HALF_YEARLY,
  halfYearly,
  lampLimits,
  MONTHLY,
  minutes,
  monthly,
  practice,
  RATED,
  reading,
  type SourceDocument,
  shortBrief,
  TWO_THIRDS,
  YEARLY,
  yearly,
} from './cite';
import type { RuleProfile } from './rule';

const IRELAND: SourceDocument = { source: 'I.S. 3217, as a contractor states it', status: 'V2' };
const IRISH_NOTES: SourceDocument = {
  source: 'user notes to the certificate after I.S. 3217',
  status: 'V2',
};
const GERMANY: SourceDocument = {
  source: 'DIN VDE V 0108-100, through the contents of a test-book handbook',
  status: 'V2',
};
const EN_50171: SourceDocument = { source: 'EN 50171, through the same handbook', status: 'V2' };
const FRANCE: SourceDocument = {
  source: 'rules for premises open to the public (ERP), art. EC 14, restated',
  status: 'V2',
};
const ITALY: SourceDocument = { source: 'UNI CEI 11222:2013, restated', year: 2013, status: 'V2' };

export const ireland: RuleProfile = {
  name: 'ireland',
  title: 'Ireland, I.S. 3217: quarterly simulated failure of 30 min, yearly 3 h',
  brief: {
    ...shortBrief(),
    // "Quarterly": the target is thirteen weeks, the limit is the longest quarter.
    everyDays: reading(IRELAND, 91, 'quarterly'),
    latestDays: reading(IRELAND, 92, 'quarterly'),
    earliestDays: practice(70),
    lengthSec: cite(IRELAND, 1800, ''),
    // One hour of charge is meant for 90 s; after half an hour, allow a day.
    rechargeSec: practice(86_400),
  },
  full: yearly(IRELAND),
  fullLength: { least: cite(IRELAND, minutes(180), '') },
  records: {
    kept: cite(IRISH_NOTES, 'register and certificate, on site', ''),
    years: practice(4),
  },
  duties: [
    due('service', { months: 3 }, duty(IRELAND, 'quarterly', 'a service visit by a competent person')),
    dueByPractice('walk', MONTHLY, duty(IRELAND, 'more often', 'checks by the user')),
    duty(
      IRISH_NOTES,
      'with each certificate',
      'list deviations with their reasons; a certificate is not a list of defects',
    ),
  ],
  notes: [
    'The controller never makes a function test longer than a quarter of the rated duration: 30 min with ' +
      'luminaires rated 3 h, but 22.5 min at 90 min and 15 min at 1 h. There, people must do the quarterly 30 min.',
    'We did not see which edition is current; the 30 min come from one contractor.',
  ],
  ...lampLimits(),
};

export const germany: RuleProfile = {
  name: 'germany',
  title: 'Germany, DIN VDE V 0108-100: weekly function test, yearly duration test',
  brief: {
    ...shortBrief(),
    everyDays: reading(GERMANY, 7, 'weekly'),
    latestDays: reading(GERMANY, 7, 'weekly'),
    earliestDays: practice(5),
  },
  full: yearly(GERMANY),
  fullLength: {
    least: cite(GERMANY, RATED, ''),
    instead: reading(EN_50171, TWO_THIRDS, '2/3 of rated capacity', '6.11.3'),
  },
  records: {
    kept: cite(
      GERMANY,
      'test books; two years of events in the device; a printout of an automatic tester is accepted',
      '',
    ),
    years: cite(GERMANY, 4, ''),
  },
  duties: [
    due('look', { days: 1 }, duty(GERMANY, 'daily', 'look at the indicators')),
    due(
      'mains-failure',
      MONTHLY,
      duty(GERMANY, 'monthly', 'simulate a mains failure of the general lighting'),
    ),
    due('photometric', { months: 36 }, duty(GERMANY, 'every 3 years', 'measure the illuminance')),
  ],
  notes: [
    'With weekly tests, more than three groups of neighbouring circuits share nights; where that is not enough, the ' +
      'plan says which circuits will be late.',
    'A duration test counts as the function test of its week.',
    'The weekly tests come from the German pre-standards: DIN V VDE V 0108-100:2010-08, and since December 2018 ' +
      'DIN VDE V 0108-100-1:2018-12 (from a summary). DIN EN 50172 (VDE 0108-100):2024-10 has been in force since ' +
      'October 2024; we did not read whether weekly tests still apply beside it, and keep the shorter interval. The ' +
      'profile en50172-2024 has its monthly tests.',
    'For weekly tests, give each journal file of a controller 131,072 bytes, so that two years are kept.',
  ],
  ...lampLimits(),
};

export const franceErp: RuleProfile = {
  name: 'france-erp',
  title: 'France, premises open to the public, art. EC 14: function test monthly, 1 h test six-monthly',
  brief: { ...monthly(FRANCE), ...shortBrief() },
  full: {
    latestDays: reading(FRANCE, 182, 'six-monthly'),
    // Nights before a closed day are rare, so the plan looks further ahead.
    earlierDays: practice(90),
    rechargeSec: practice(86_400),
    ...fullByDay(),
  },
  fullLength: { least: cite(FRANCE, minutes(60), '') },
  fullBeforeOpening: cite(FRANCE, true, ''),
  records: { kept: cite(FRANCE, 'the safety register', ''), years: practice(4) },
  duties: [
    due(
      'walk-and-rest',
      MONTHLY,
      duty(
        FRANCE,
        'monthly',
        'see every lamp lit, that the rest command works, and that units return to standby with the mains',
      ),
    ),
    duty(
      FRANCE,
      'when normal lighting is cut on purpose',
      'put the luminaires into rest mode, or they discharge',
    ),
  ],
  notes: [
    'A test is planned only where test and recharge end before the next opening time in the site file: a duration ' +
      'test needs a day on which the building is closed.',
    "If that night is also due for the month's function test, the duration test counts as both.",
  ],
  ...lampLimits(),
};

export const italy: RuleProfile = {
  name: 'italy',
  title: 'Italy, UNI CEI 11222:2013: six-monthly function test, yearly duration test',
  brief: { ...halfYearly(ITALY, 'arts. 4, 6'), ...shortBrief() },
  full: yearly(ITALY, 'arts. 4, 6'),
  fullLength: { least: cite(ITALY, RATED, 'arts. 4, 6') },
  records: { kept: cite(ITALY, 'a register open to the authorities', ''), years: practice(4) },
  duties: [
    due(
      'inhibit',
      HALF_YEARLY,
      duty(ITALY, 'six-monthly', 'check that the inhibit system works', 'arts. 4, 6'),
    ),
    due(
      'walk',
      YEARLY,
      duty(
        ITALY,
        'yearly',
        'inspect each luminaire: present, unobstructed, undamaged, charging',
        'arts. 4, 6',
      ),
    ),
  ],
  notes: ['We did not see which of articles 4 and 6 holds which interval.'],
  ...lampLimits(),
};
