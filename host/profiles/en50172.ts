import {
  CIE_193,
  cite,
  due,
  dueAsRead,
  dueByPractice,
  duty,
  HALF_YEARLY,
  IEC_62034,
  lampLimits,
  MONTHLY,
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
import type { Duty, RuleProfile } from './rule';

// EN 50172:2004 was read only as restated by contractors, the 2024 edition only in summaries: these values
// follow that practice and claim no compliance.

const EDITION_2004: SourceDocument = {
  source: 'EN 50172:2004, restated by contractors',
  year: 2004,
  status: 'V2',
};
const EDITION_2024: SourceDocument = {
  source: 'EN 50172:2024, through trade press of 2023 and 2024',
  year: 2024,
  status: 'V2',
};
/** The German edition; that staff need training was read in news about it. */
const DIN_EN_50172: SourceDocument = {
  source: 'DIN EN 50172 (VDE 0108-100):2024-10, through trade news of 2024',
  year: 2024,
  status: 'V2',
};
const CONSULTANCY: SourceDocument = {
  source: 'EN 50172:2004, restated by a fire-engineering consultancy in 2022',
  year: 2004,
  status: 'V2',
};

const NOT_TWO_THIRDS =
  'Two thirds of the duration, for a building that is never empty, is not a duration test. News of the first ' +
  'edition speaks of two thirds of the capacity; that this is two thirds of the time is our reading. Of clause ' +
  '6.3.3.4 of IEC 62034:2012, "limited duration test", we know only the title.';
const UNBROKEN =
  'The rule that the 24 h of charge before a duration test must be unbroken is from memory of IEC 62034, 5.2; ' +
  'the controller keeps to it under every profile.';

const walk = (document: SourceDocument): Duty[] => [
  due(
    'look',
    { days: 1 },
    duty(document, 'daily', 'look at the indicators of a central supply; nothing is operated', '7.2'),
  ),
  dueAsRead(
    'walk',
    MONTHLY,
    document,
    duty(
      document,
      'with each function test',
      'see that each luminaire and sign is present, clean and lit, and its indicator on again after',
      '7.2',
    ),
  ),
  dueAsRead(
    'yearly',
    YEARLY,
    document,
    duty(document, 'with each duration test', 'see that indicators and charging work again', '7.2'),
  ),
];

/** The default profile: monthly brief test, yearly full test, 24 h recharge. */
export const en50172: RuleProfile = {
  name: 'en50172',
  title: 'EN 50172:2004: monthly function test, yearly duration test',
  brief: { ...monthly(EDITION_2004, '7.2'), ...shortBrief() },
  full: { ...yearly(EDITION_2004, '7.2', 'annual'), rechargeSec: cite(CONSULTANCY, 86_400, '') },
  fullLength: {
    least: cite(EDITION_2004, RATED, '7.2'),
    instead: reading(IEC_62034, TWO_THIRDS, 'two-thirds of battery capacity'),
  },
  records: {
    kept: cite(
      EDITION_2004,
      'date and result of each test; of an automatic test system, function results monthly and duration results yearly',
      '7.2',
    ),
    years: practice(4),
  },
  duties: walk(EDITION_2004),
  notes: [UNBROKEN, NOT_TWO_THIRDS],
  ...lampLimits(),
};

/** The 2024 edition: the same tests, more for people to do. */
export const en50172of2024: RuleProfile = {
  ...en50172,
  name: 'en50172-2024',
  title:
    'EN 50172:2024, DIN EN 50172 (VDE 0108-100):2024-10: tests as in 2004, light measured every five years',
  brief: { ...monthly(EDITION_2024), ...shortBrief() },
  full: { ...en50172.full, latestDays: reading(EDITION_2024, 365, 'annual') },
  fullLength: { ...en50172.fullLength, least: cite(EDITION_2024, RATED, '') },
  records: {
    kept: cite(EDITION_2024, 'fuller handover papers and log than in 2004', ''),
    years: practice(4),
  },
  duties: [
    ...walk(EDITION_2004),
    due(
      'photometric',
      { months: 60 },
      duty(EDITION_2024, 'every 5 years at most', 'measure the light on site'),
    ),
    dueAsRead(
      'condition',
      HALF_YEARLY,
      EDITION_2024,
      duty(EDITION_2024, '"bi-annually"', 'look over the condition of all luminaires', '', 'M?'),
    ),
    dueByPractice(
      'competence',
      YEARLY,
      duty(DIN_EN_50172, 'always', 'those who maintain it have electrical training, and refresh it'),
    ),
  ],
  notes: [
    UNBROKEN,
    NOT_TWO_THIRDS,
    'The clause text of this edition was not read. In Germany it is DIN EN 50172 (VDE 0108-100):2024-10, in force ' +
      'since October 2024 in place of the edition of 2005; see also the profile germany.',
    '"Bi-annual" for the extra visual check may mean twice a ' + 'year or every second year.',
  ],
};

/** International advice, as a Russian standard prints it. */
export const cie193: RuleProfile = {
  ...en50172,
  name: 'cie193',
  title: 'CIE 193:2010 and ISO 30061: monthly function test of at most a quarter, yearly duration test',
  brief: { ...monthly(CIE_193, 'annex A'), ...shortBrief() },
  full: yearly(CIE_193, 'annex A'),
  fullLength: { least: reading(CIE_193, RATED, 'a test of the full system', 'annex A') },
  records: { kept: cite(CIE_193, 'a log of the tests', 'annex A'), years: practice(4) },
  duties: [
    dueAsRead(
      'walk',
      MONTHLY,
      CIE_193,
      duty(CIE_193, 'with each function test', 'see that the indicators light again after it', 'annex A'),
    ),
    due('service', YEARLY, duty(CIE_193, 'yearly', 'a competent engineer tests the whole system', 'annex A')),
  ],
  notes: [UNBROKEN],
};
