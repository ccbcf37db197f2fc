// Japan, Singapore and Hong Kong: what a source gives, and what none of those we read does.
import {
  cite,
  due,
  dueAsRead,
  duty,
  fullByDay,
  HALF_YEARLY,
  lampLimits,
  minutes,
  monthly,
  monthlyNotGiven,
  practice,
  reading,
  type SourceDocument,
  shortBrief,
  YEARLY,
  yearly,
} from './cite';
import type { RuleProfile } from './rule';

const JAPAN_NOTICE: SourceDocument = {
  source: 'Notice 1830 of the Ministry of Construction (1970), restated by trade pages',
  year: 1970,
  status: 'V2',
};
const JAPAN_ACT: SourceDocument = { source: 'Building Standards Act, restated by trade pages', status: 'V2' };
const JAPAN_ORDER: SourceDocument = {
  source: 'Enforcement Order of the Building Standards Act, in a public collection of laws',
  status: 'V1',
};
const JAPAN_FIRE: SourceDocument = {
  source: 'Fire Service Act, restated by an association of the trade and on trade pages',
  status: 'V2',
};
const SINGAPORE_CODE: SourceDocument = {
  source: 'Fire Code, on the page of the Singapore Civil Defence Force',
  status: 'V1',
};
const SINGAPORE_STANDARD: SourceDocument = { source: 'SS 563-2, restated by trade pages', status: 'V2' };
const HONG_KONG_PREMISES: SourceDocument = {
  source: 'PPA/104 of the Fire Services Department, 4th revision, in force from 2007',
  year: 2007,
  status: 'V1',
};
const HONG_KONG_LAW: SourceDocument = {
  source: 'Cap. 95B (fire service installations), as government statements quote it',
  status: 'V1',
};

const POINTS =
  'The points at 5 s and 60 s come from EN 1838 and IEC 60598-2-22, and 24 h of recharge from practice: we saw no ' +
  'local text for either.';

export const japan: RuleProfile = {
  name: 'japan',
  title: 'Japan, Building Standards Act: 30 min, inspected every six months to a year',
  brief: { ...monthlyNotGiven(), ...shortBrief() },
  full: {
    // The shorter end of what the local authority may set.
    latestDays: reading(JAPAN_ACT, 182, 'every six months to a year, as the authority sets', 'art. 12(3)'),
    earlierDays: practice(60),
    rechargeSec: practice(86_400),
    ...fullByDay(),
  },
  fullLength: { least: cite(JAPAN_NOTICE, minutes(30), '') },
  records: { kept: cite(JAPAN_ACT, 'a report to the local authority', 'art. 12(3)'), years: practice(4) },
  duties: [
    dueAsRead(
      'service',
      HALF_YEARLY,
      JAPAN_ACT,
      duty(
        JAPAN_ACT,
        'every six months to a year',
        'a qualified inspector inspects the emergency lighting and reports to the local authority',
        'art. 12(3)',
      ),
    ),
    duty(JAPAN_ORDER, 'always', 'the floor has at least 1 lx', 'art. 126-5'),
    due(
      'signs',
      HALF_YEARLY,
      duty(JAPAN_FIRE, 'six-monthly', 'a qualified person checks the guidance lights', 'art. 17-3-3'),
    ),
  ],
  notes: [
    'No text we read gives an interval for function tests, or says that the inspection includes a discharge for the ' +
      'whole 30 min. The function tests here are on the safe side, and a duration test for each inspection is our ' +
      'reading; the local authority decides.',
    'Guidance lights (exit signs) are under the Fire Service Act: 20 min, or 60 min in large buildings, from ' +
      'a summary. Those rated less than 30 min cannot show what this profile asks.',
    POINTS,
  ],
  ...lampLimits(),
};

export const singapore: RuleProfile = {
  name: 'singapore',
  title: 'Singapore, SS 563-2 and Fire Code 8.1: monthly function test, yearly duration test of 1 h or more',
  brief: { ...monthly(SINGAPORE_STANDARD), ...shortBrief() },
  full: yearly(SINGAPORE_STANDARD),
  fullLength: { least: cite(SINGAPORE_CODE, minutes(60), 'explanation to 8.1.1 b') },
  lightWithinSec: cite(SINGAPORE_CODE, 1, '8.1.1 c'),
  records: {
    kept: cite(SINGAPORE_STANDARD, 'a record of the results and of any defects, kept by the owner', ''),
    years: practice(4),
  },
  duties: [
    duty(
      SINGAPORE_CODE,
      'at commissioning',
      'see that exit lighting comes on within 1 s, which the controller does not measure',
      '8.1.1 c',
    ),
  ],
  notes: [
    'SS 563 itself was not read: the Fire Code repeats its 1 h, and trade pages give its intervals and say that the ' +
      'yearly test lasts the rated duration. Where they are wrong, the Singapore Civil Defence Force decides.',
    'Exit lighting must come on within 1 s, but the controller first looks at 5 s: a luminaire that takes 2 s passes.',
    POINTS,
  ],
  ...lampLimits(),
};

const HONG_KONG_NOTES = [
  'PPA/104 is for licensed premises: 1 h for up to 500 people; for more, 2 h, or 1 h with an emergency generator. ' +
    'Only its 4th revision was read; the 5th has been in force since 2021.',
  'No text we read gives an interval for function tests, or says that the yearly inspection includes a full ' +
    'discharge. The Fire Services Department follows BS 5266-1:2016 and BS EN 1838:2013 with local changes (its ' +
    'technical guidance of May 2021), whose test intervals we did not see. The function tests here are on the ' +
    'safe side, and a duration test for each inspection is our reading; the department decides.',
];

/** The longer duration, so that nobody gets the shorter one by oversight. */
export const hongKong: RuleProfile = {
  name: 'hong-kong',
  title: 'Hong Kong, more than 500 people: function tests as often as monthly, yearly 2 h',
  brief: { ...monthlyNotGiven(), ...shortBrief() },
  full: yearly(HONG_KONG_LAW, 's. 8', 'at least once in every 12 months'),
  fullLength: { least: cite(HONG_KONG_PREMISES, minutes(120), 'power supply') },
  records: {
    kept: cite(HONG_KONG_LAW, "the contractor's certificate of each yearly inspection", ''),
    years: practice(4),
  },
  duties: [
    due(
      'service',
      YEARLY,
      duty(HONG_KONG_LAW, 'yearly', 'a registered contractor inspects the installation', 's. 8'),
    ),
    duty(HONG_KONG_LAW, 'always', 'the owner keeps it in efficient working order', 's. 8'),
  ],
  notes: HONG_KONG_NOTES,
  ...lampLimits(),
};

export const hongKongTo500: RuleProfile = {
  ...hongKong,
  name: 'hong-kong-to-500',
  title: 'Hong Kong, up to 500 people: function tests as often as monthly, yearly 1 h',
  fullLength: { least: cite(HONG_KONG_PREMISES, minutes(60), 'power supply') },
};
