// What each form asks. The points are common practice where the duty's own source does not list them; the words are
// ours, and are stored with every answer, so that a log book says what was asked at the time.
import type { FormName } from '../profiles/rule';

/** One thing to look at: in order, not in order, or not applicable. */
export interface Point {
  /** [a-z-], unique in its form. */
  id: string;
  /** A statement that is true where all is in order. */
  words: string;
}

export interface Form {
  /** A short name, for lists. */
  title: string;
  /** Who may do it (common practice; what the rules ask is not the same everywhere). */
  by: string;
  /** True if it looks at luminaires one by one, and may be done area by area or circuit by circuit. */
  byLuminaire: boolean;
  /** True if there is nothing to do without a central battery system. */
  central?: true;
  /**
   * True if it attests a state: it stays due until an entry has nothing left to be put right. All others are looks:
   * done once somebody has looked, whatever was found, which stays on the list of findings.
   */
  untilInOrder?: true;
  points: Point[];
}

const INSTRUCTED = 'an instructed person';
const COMPETENT = 'a competent person';
const ELECTRICIAN = 'a skilled electrician';
const RESPONSIBLE = 'the responsible person';

const point = (id: string, words: string): Point => ({ id, words });

const WALK: Point[] = [
  point('present', 'Every luminaire and sign is in its place and undamaged.'),
  point('clean', 'Luminaires and signs are clean.'),
  point('unobstructed', 'Nothing hides them or blocks their light.'),
  point('signs', 'Every sign can be seen, and points the right way.'),
  point('indicators', 'Every indicator lamp is lit.'),
  point('lit', 'Those looked at during a test were lit.'),
];

/** Each form by its name. */
export const FORMS: Record<FormName, Form> = {
  look: {
    ...{ title: 'Daily look at the central supply', by: INSTRUCTED, byLuminaire: false, central: true },
    points: [
      point('healthy', 'The indicators of the central supply show that it is healthy.'),
      point('followed', 'Faults found earlier are being attended to.'),
    ],
  },
  walk: {
    ...{ title: 'Walk past every luminaire', by: INSTRUCTED, byLuminaire: true },
    points: WALK,
  },
  'walk-and-rest': {
    ...{ title: 'Walk past every luminaire, and rest mode', by: INSTRUCTED, byLuminaire: true },
    points: [
      ...WALK,
      point('rest', 'The rest command puts the luminaires out while the mains is off.'),
      point('standby', 'They return to standby by themselves when the mains is back.'),
    ],
  },
  condition: {
    ...{ title: 'Condition of all luminaires', by: COMPETENT, byLuminaire: true },
    points: [
      point('housing', 'Housings, covers and fixings are sound and dry.'),
      point('output', 'No lamp or light guide has darkened or yellowed.'),
      point('lettering', 'Signs can be read from where they must be.'),
    ],
  },
  signs: {
    ...{ title: 'Guidance lights', by: COMPETENT, byLuminaire: true },
    points: [
      point('present', 'Every guidance light is in its place and undamaged.'),
      point('visible', 'Every guidance light can be seen, and points the right way.'),
      point('battery', 'Every guidance light changes to its battery and back.'),
    ],
  },
  'battery-look': {
    ...{ title: 'Pilot lights, terminals and batteries', by: INSTRUCTED, byLuminaire: true },
    points: [
      point('pilot', 'Every pilot light is lit.'),
      point('terminals', 'Terminals are clean and tight.'),
      point('surface', 'The surfaces of batteries are clean and dry.'),
    ],
  },
  'mains-failure': {
    ...{ title: 'Simulated failure of the general lighting', by: COMPETENT, byLuminaire: true },
    points: [
      point('lit', 'Where the supply of the general lighting was cut, every luminaire came on.'),
      point('back', 'When it was back, they returned to standby.'),
    ],
  },
  inhibit: {
    ...{ title: 'Inhibit system', by: COMPETENT, byLuminaire: false },
    points: [
      point('inhibits', 'The inhibit command works.'),
      point('ends', 'The luminaires are ready again when it ends.'),
    ],
  },
  yearly: {
    ...{ title: 'Yearly look after the duration tests', by: COMPETENT, byLuminaire: false },
    points: [
      point('indicators', 'After the duration tests every indicator lamp was lit again.'),
      point('charging', 'Charging works again in every luminaire.'),
      point('defects', 'Every defect that the tests found is repaired or has a date.'),
      point('papers', 'Log book, drawings and instructions are at hand.'),
    ],
  },
  service: {
    ...{ title: 'Inspection by a competent person', by: COMPETENT, byLuminaire: false },
    points: [
      point('inspected', 'The whole installation was inspected.'),
      point('deviations', 'No deviation is without its reason in the report.'),
      point('report', 'The signed report or certificate is in the register.'),
    ],
  },
  charging: {
    ...{ title: 'Charging after the duration tests', by: ELECTRICIAN, byLuminaire: false },
    points: [
      point('voltage', "The charging voltage agrees with the maker's data."),
      point('current', "The charging current agrees with the maker's data."),
      point('recovery', "The recovery period agrees with the maker's data."),
    ],
  },
  photometric: {
    ...{ title: 'Measurement of the light', by: COMPETENT, byLuminaire: false, untilInOrder: true },
    points: [
      point('measured', 'The light was measured in the dark along all escape routes and in open areas.'),
      point('enough', 'It is nowhere below what the lighting design asks for.'),
      point('report', 'The report with measuring points, instrument and calibration is in the register.'),
    ],
  },
  key: {
    ...{ title: 'Key switch and labels', by: RESPONSIBLE, byLuminaire: false },
    points: [
      point('place', 'The key of the test switch is in its place, and those on duty know where.'),
      point('label', 'Test switch, distribution boards and controllers are labelled.'),
      point('returns', 'The switch works, and the supply returns with it.'),
    ],
  },
  handover: {
    ...{ title: 'Handover and completion papers', by: RESPONSIBLE, byLuminaire: false, untilInOrder: true },
    points: [
      point('drawings', 'As-fitted drawings show every luminaire, circuit and test switch.'),
      point('declarations', 'Declarations of design, installation and verification are signed.'),
      point('light', 'Photometric data or a measurement of the light are there.'),
      point('instructions', 'Instructions for users say what to do and whom to call.'),
      point('list', 'The list of luminaires agrees with what is installed.'),
    ],
  },
  alterations: {
    ...{ title: 'Alterations of the building', by: RESPONSIBLE, byLuminaire: false },
    points: [
      point('rooms', 'No wall, door, shelf or use of a room has changed since the light was planned.'),
      point('routes', 'Escape routes and signs are still as drawn.'),
      point('circuits', 'Where the normal lighting of a place fails, its emergency lighting still comes on.'),
    ],
  },
  competence: {
    ...{ title: 'Who does this work', by: RESPONSIBLE, byLuminaire: false, untilInOrder: true },
    points: [
      point('named', 'A competent person is named, with the authority to have repairs done.'),
      point('trained', 'Those who test, inspect and repair are trained for it, and it is not out of date.'),
    ],
  },
};
