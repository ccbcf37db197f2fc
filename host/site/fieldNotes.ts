// An example of every field of a site file, and what holds where it is left out. The reference is made of these and
// of the schema (document.ts); a test compares both.
import {
  DEFAULT_AT_ONCE,
  DEFAULT_EMPTY_SEC,
  DEFAULT_PROFILE,
  DEFAULT_REPAIR_DAYS,
  DEFAULT_STAGGER_SEC,
  DEFAULT_START,
} from './resolve';

export interface FieldNote {
  /** As written in a site file. */
  example: string;
  /** What holds where an optional field is left out. */
  otherwise?: string;
  /** What its name and its check do not say. */
  more?: string;
}

const HOURS = '{ days: [mon, tue], from: "00:30", to: "05:30" }';
const circuitsOwn = 'what its circuit says; one of the two must say it';

/** By the path of the group, without list positions, and the name of the field. */
export const FIELD_NOTES: Record<string, Record<string, FieldNote>> = {
  '': {
    id: { example: 'museum', more: 'Part of the address of every controller: after commissioning it stays.' },
    name: { example: 'Museum of Tides' },
    timeZone: { example: 'Europe/London', more: 'All hours in the file are local.' },
    profile: {
      example: 'en50172',
      otherwise: `\`${DEFAULT_PROFILE}\``,
      more: 'Sets intervals and lengths of tests: [profiles.md](profiles.md).',
    },
    complianceSchedule: {
      example: '{ reference: CS 12, briefDays: 31, fullDays: 365, fullMinutes: 30 }',
      otherwise: 'none; a profile that follows one needs it',
      more: 'Where each building has its own rule.',
    },
    authorityAgreement: {
      example: '{ reference: letter of 2026-02-03, briefDays: 60 }',
      otherwise: "the rule's own interval",
      more: 'Where the rule lets the authority extend its interval.',
    },
    testMore: {
      example: '{ functionTestDays: 7, durationTestDays: 28 }',
      otherwise: 'only the tests the rule asks for',
      more:
        'Tests on top of the rule: function tests where nobody is there or someone looks in for at most half an hour; ' +
        'duration tests also where people are there for up to half a day, the more rarely the more they meet.',
    },
    responsible: { example: 'the head of house', more: 'Printed on pages and reports.' },
    testWindows: {
      example: `[${HOURS}]`,
      more: 'The longest must hold the longest test and 5 minutes; across noon it counts as two.',
    },
    opening: {
      example: `[${HOURS}]`,
      more: '`[]` means that nobody is ever there. Tests are planned around these hours.',
    },
    closedDates: { example: '[2026-12-25]', otherwise: 'none', more: 'Nobody is there on these days.' },
    noTestDates: {
      example: '[2026-03-21]',
      otherwise: 'none',
      more: 'A window that touches one of these days is left out.',
    },
    openingsAtOnce: { example: '4', otherwise: `\`${DEFAULT_AT_ONCE}\`` },
    staggerSeconds: { example: '600', otherwise: `\`${DEFAULT_STAGGER_SEC}\`` },
    location: {
      example: '{ latitude: 54.6, longitude: -0.4 }',
      otherwise: 'not known: daylight or dark is not shown',
      more: 'Where the building is, for sunrise and sunset.',
    },
    engineerDays: { example: '[mon, tue, wed, thu, fri]', otherwise: 'every day' },
    centralSupply: {
      example: 'true',
      otherwise: '`false`',
      more: 'Its indicators are looked at every day: [duties.md](duties.md).',
    },
    witnesses: {
      example:
        '[{ url: "http://192.168.1.9:8351", key: gatehouse+9bf46849+BIE5dw6ofRdfVqNUZsNMfszLjYqRtO43ol32D1uPybOU }]',
      otherwise: 'none',
      more: 'They sign the log book: [evidence.md](evidence.md).',
    },
    timeStamps: {
      example: '["https://stamps.example/tsa"]',
      otherwise: 'none',
      more: 'Time stamp servers (RFC 3161) for the log book.',
    },
    floors: { example: '[{ id: ground, name: Ground floor }]' },
    floorPlans: {
      example: '[{ id: ground, name: Ground floor, picture: plans/ground.svg, floor: ground }]',
      otherwise: 'none are shown',
      more: 'Pictures on which the page shows the luminaires.',
    },
    areas: { example: '[{ id: entrance, name: Entrance hall, floor: ground }]' },
    circuits: { example: '[{ id: ground-a, name: Ground floor A, floor: ground, luminaires: [] }]' },
    simulation: {
      example: '{ start: 2026-01-05T09:00, historyDays: 60, faults: [] }',
      otherwise: 'no faults are planted',
      more: 'Read by `npm start` and `simulate` only.',
    },
  },
  complianceSchedule: {
    reference: { example: 'CS 12' },
    briefDays: { example: '31' },
    fullDays: { example: '365' },
    fullMinutes: { example: '30' },
  },
  authorityAgreement: { reference: { example: 'letter of 2026-02-03' }, briefDays: { example: '60' } },
  testMore: { functionTestDays: { example: '7' }, durationTestDays: { example: '28' } },
  testWindows: {
    days: { example: '[mon, tue]' },
    from: { example: '"00:30"' },
    to: { example: '"05:30"', more: 'Not after `from`: the next morning.' },
  },
  location: { latitude: { example: '54.6' }, longitude: { example: '-0.4' } },
  witnesses: {
    url: { example: '"http://192.168.1.9:8351"' },
    key: { example: 'gatehouse+9bf46849+BIE5dw6ofRdfVqNUZsNMfszLjYqRtO43ol32D1uPybOU' },
  },
  floors: { id: { example: 'ground' }, name: { example: 'Ground floor' } },
  floorPlans: {
    id: { example: 'ground', more: 'Luminaires name it as their `floorPlan`.' },
    name: { example: 'Ground floor' },
    picture: {
      example: 'plans/ground.svg',
      more: 'At most 8 MB and 32 million pixels; an SVG without entities. `check` looks at the file.',
    },
    floor: {
      example: 'ground',
      more: 'The id of a floor. Its luminaires without a place are listed beside the plan.',
    },
    areas: {
      example: '[entrance, shop]',
      otherwise: 'the whole floor',
      more: 'The areas it shows, if not all of the floor.',
    },
  },
  areas: {
    id: { example: 'entrance' },
    name: { example: 'Entrance hall' },
    floor: { example: 'ground', more: 'The id of a floor.' },
    adjacent: {
      example: '[stair-north]',
      otherwise: 'none, unless the other area names this one',
      more: 'Areas an escape route leads into directly. Neighbours are never without their light in one night.',
    },
    occupied: { example: `[${HOURS}]`, otherwise: "the building's `opening`", more: '`[]`: never.' },
    alwaysOccupied: { example: 'true', otherwise: '`false`' },
    sleeping: { example: 'true', otherwise: '`false`', more: 'Counts as always occupied.' },
    wayOut: {
      example: 'true',
      otherwise: 'found from the floors it joins',
      more: 'Two ways out of one area are never tested in one night.',
    },
  },
  circuits: {
    id: { example: 'ground-a', more: "The controller's id, too." },
    name: { example: 'Ground floor A' },
    floor: { example: 'ground', more: 'The id of a floor.' },
    shared: {
      example: 'true',
      otherwise: '`false`',
      more: 'Find out at commissioning: [wiring.md](wiring.md). Such a circuit is tested only while the area is empty.',
    },
    alwaysOccupied: {
      example: 'true',
      otherwise: '`false`',
      more: 'Limited duration tests (2/3) are planned, and the duration test stays owed.',
    },
    auxiliaryContact: { example: 'true', otherwise: '`false`' },
    chargeMilliamps: { example: '1200', otherwise: 'no sensor is fitted' },
    emptySec: { example: '900', otherwise: `\`${DEFAULT_EMPTY_SEC}\``, more: 'Only for a shared circuit.' },
    ratedMinutes: { example: '180', otherwise: 'each luminaire says it' },
    chemistry: { example: 'NiMH', otherwise: 'each luminaire says it' },
    batteryFitted: { example: '2024-02-20', otherwise: 'each luminaire says it' },
    celsius: { example: '25', otherwise: 'not known' },
    bus: {
      example: '{ bitsPerSecond: 9600 }',
      otherwise: '19200 bit/s, even parity, input registers',
      more: 'Only where current modules on a bus read the lamps: [wiring.md](wiring.md).',
    },
    register: { example: '8', otherwise: 'each luminaire with a module says it' },
    milliampsPerCount: { example: '0.1', otherwise: 'each luminaire with a module says it' },
    luminaires: {
      example:
        '[{ id: GA-03, place: West door, area: entrance, mode: non-maintained, batteryMilliamps: 260 }]',
      more: 'At most 16.',
    },
  },
  'circuits.bus': {
    bitsPerSecond: { example: '9600', otherwise: '`19200`' },
    parity: { example: 'none', otherwise: '`even`' },
    registers: { example: 'holding', otherwise: '`input`' },
  },
  'circuits.luminaires': {
    id: { example: 'GA-03', more: 'Unique in the building; its results stay with it.' },
    formerly: { example: '[GA-3]', otherwise: 'none' },
    place: { example: 'West door' },
    area: { example: 'entrance', more: 'The id of an area.' },
    serves: {
      example: '[entrance, stair-north]',
      otherwise: 'its own area',
      more: 'All areas its light falls on.',
    },
    mode: {
      example: 'non-maintained',
      more: '*Maintained* and *switched maintained* are lit on mains, *non-maintained* and *combined* (its emergency lamp) are dark.',
    },
    batteryMilliamps: {
      example: '260',
      more: 'Measured at commissioning: the lamp is judged by it ([judging.md](judging.md)). 0.3 A is 300.',
    },
    mainsMilliamps: { example: '310', otherwise: 'dark on mains; a mode that is lit on mains needs it' },
    currents: {
      example: 'expected',
      otherwise: '`measured`',
      more: "*Expected*, e.g. by the maker's data: the luminaire is listed as not proven until its measured currents are accepted ([wiring.md](wiring.md#commissioning)).",
    },
    ratedMinutes: { example: '60', otherwise: circuitsOwn },
    chemistry: { example: 'NiCd', otherwise: circuitsOwn },
    batteryFitted: {
      example: '2024-02-20',
      otherwise: circuitsOwn,
      more: '`check` refuses a date after today.',
    },
    batteriesBefore: { example: '[2016-05-02, 2020-06-11]', otherwise: 'none' },
    celsius: { example: '25', otherwise: 'what its circuit says, else not known' },
    module: { example: '11', otherwise: "the controller's own converter reads it" },
    register: { example: '8', otherwise: 'what its circuit says; needed with a module' },
    milliampsPerCount: { example: '0.1', otherwise: 'what its circuit says; needed with a module' },
    floorPlan: { example: 'ground', otherwise: 'it is on none', more: 'The id of a floor plan.' },
    across: {
      example: '31.5',
      otherwise: 'it is on no floor plan; needed with one',
      more: '0 is left, 100 right.',
    },
    down: {
      example: '60',
      otherwise: 'it is on no floor plan; needed with one',
      more: '0 is above, 100 below.',
    },
  },
  simulation: {
    start: { example: '2026-01-05T09:00', more: `Without \`simulation\`: ${DEFAULT_START}.` },
    historyDays: { example: '60' },
    faults: { example: '[{ kind: dead lamp, luminaire: GA-03, fromDay: 20 }]' },
    repairDays: { example: '14', otherwise: `\`${DEFAULT_REPAIR_DAYS}\`` },
    byHand: {
      example: '{ every: month }',
      otherwise: 'controllers test',
      more: 'For comparisons: [whatif.md](whatif.md).',
    },
  },
  'simulation.byHand': {
    every: { example: 'month' },
    fullMonth: { example: '3' },
    days: { example: '[mon, fri]' },
    from: { example: '"09:00"' },
    to: { example: '"13:00"' },
    walkMinutes: { example: '15' },
    skippedPercent: { example: '5' },
    overlookedPercent: { example: '5' },
    keyForgottenPercent: { example: '2' },
    noticedWithinDays: { example: '5' },
  },
  'simulation.faults': {
    kind: { example: 'dead lamp' },
    luminaire: { example: 'GA-03' },
    fromDay: { example: '20' },
    lastsMinutes: { example: '40' },
    milliampsPerDay: { example: '-0.5' },
    circuit: { example: 'ground-a' },
    repairedDay: { example: '27' },
    seconds: { example: '30' },
    everyDays: { example: '3' },
  },
};
