import {
  cite,
  due,
  duty,
  fullByDay,
  HALF_YEARLY,
  halfYearly,
  lampLimits,
  minutes,
  practice,
  reading,
  type SourceDocument,
  shortBrief,
  YEARLY,
} from './cite';
import type { RuleProfile } from './rule';

const PART_2: SourceDocument = { source: 'AS/NZS 2293.2, restated', status: 'V2' };
const PART_1: SourceDocument = {
  source: 'AS 2293.1, through Energy Safe Victoria, EnergySafe 42 (2016)',
  year: 2016,
  status: 'V1',
};
const HANDBOOK: SourceDocument = {
  source: 'Compliance Schedule Handbook of the New Zealand ministry (amendment 3, 2014)',
  year: 2014,
  status: 'V1',
};

export const asNzs2293: RuleProfile = {
  name: 'as-nzs-2293',
  title: 'AS/NZS 2293.2: discharge test of 90 min every six months',
  brief: { ...halfYearly(PART_2), ...shortBrief() },
  full: {
    latestDays: reading(PART_2, 182, 'six-monthly'),
    earlierDays: practice(60),
    rechargeSec: practice(86_400),
    ...fullByDay(),
  },
  fullLength: { least: cite(PART_2, minutes(90), '') },
  commissioning: {
    chargeSec: cite(PART_1, 57_600, '2.2.1, 2.2.2'),
    factor: cite(PART_1, 1.33, '2.2.1, 2.2.2'),
    leastMinutes: cite(PART_1, 90, '2.2.1, 2.2.2'),
  },
  records: {
    kept: cite(PART_2, 'tags or a log book; electronic ones too, with a copy at hand on site', ''),
    years: practice(4),
  },
  duties: [
    due(
      'walk',
      HALF_YEARLY,
      duty(
        PART_2,
        'six-monthly',
        'look over each luminaire and, with an automatic test system, its indications',
      ),
    ),
    duty(PART_2, 'after each test', 'repair or replace what failed; restore and recharge'),
    duty(
      PART_1,
      'at commissioning',
      'draw the discharge test switch with its timer at the switchboard',
      '1.4.1',
    ),
  ],
  notes: [
    'The standard has one test, the discharge. The function test at the same interval is an extra that finds ' +
      'dead lamps between two discharges.',
    'The first discharge, 1.33 times 90 min, about 2 h, after 16 h of charge, is the commissioning test. It ' +
      'starts only on demand, with someone there.',
  ],
  ...lampLimits(),
};

/** Its intervals are placeholders until the site file gives those of the building's own schedule. */
export const newZealand: RuleProfile = {
  ...asNzs2293,
  name: 'new-zealand',
  title: "New Zealand: as the building's compliance schedule says, SS 4",
  commissioning: undefined,
  records: {
    kept: cite(HANDBOOK, 'what the building warrant of fitness rests on', 'SS 4'),
    years: practice(4),
  },
  duties: [
    due(
      'service',
      YEARLY,
      duty(
        HANDBOOK,
        'yearly',
        'an independent qualified person signs for the building warrant of fitness',
        'SS 4',
      ),
    ),
  ],
  notes: [
    'The schedule names the standard building by building, often AS/NZS 2293.2; local firms state monthly and ' +
      'yearly tests. Copy the values of the schedule into complianceSchedule in the site file: without them ' +
      'nothing is planned. The values shown here are from AS/NZS 2293.2.',
  ],
  bySchedule: true,
};
