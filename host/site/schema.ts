// What a site file may contain. load.ts turns every finding into a sentence with a line number.
import { z } from 'zod';
import { allModes, MODE_WORDS } from '../../firmware/contract/lamps';
import { Limit } from '../../firmware/contract/limits';
import { LEAST_DAYS } from '../profiles/more';
import * as f from './fields';
import { MILLIAMPS_MAX } from './model';
import type { Path } from './note';

const ratedMinutes = f.whole('the rated duration in minutes', Limit.RatedSecMin / 60, Limit.RatedSecMax / 60);
const chemistry = f.oneOf('the chemistry of the battery', f.CHEMISTRIES);
const batteryFitted = f.date('the date the battery was fitted');
const celsius = f.degrees('the usual temperature at the battery in degrees Celsius', 90);
const milliamps = (what: string) =>
  f.whole(`the commissioned lamp current on ${what} in mA`, 1, MILLIAMPS_MAX);
const fromDay = f.whole('the day of the simulation on which the fault begins', 0, 36500);
const repairedDay = f.whole('the day of the simulation on which the relay is repaired', 0, 36500);
const id = { luminaire: f.luminaireId(), circuit: f.id('ground-a') };

// MODBUS over Serial Line V1.02 (2006), 2.2; 0 is for all modules, and those above 247 are reserved.
const moduleAddress = f.whole('the address of its current module on the bus', 1, 247);
// MODBUS Application Protocol V1.1b3 (2012), 6.3 and 6.4: the number on the wire, from 0.
const register = f.whole('the register of the current, counted from 0', 0, 65535);
const milliampsPerCount = f.positive('the mA that one count of the register stands for', 1000);

/** Whether the currents of a luminaire were measured at it, or are expected of it until somebody has. */
export const CURRENTS = ['measured', 'expected'];

const luminaire = f.group(
  {
    id: f.luminaireId(),
    formerly: f.listOf(f.luminaireId(), 'ids that the luminaire had before', 1).optional(),
    place: f.words('where the luminaire is installed'),
    area: f.id('entrance'),
    serves: f.listOf(f.id('entrance'), 'ids of areas', 1).optional(),
    mode: f.oneOf(
      'how the luminaire works',
      allModes().map((mode) => MODE_WORDS[mode]),
    ),
    batteryMilliamps: milliamps('battery'),
    mainsMilliamps: milliamps('mains').optional(),
    currents: f.oneOf('whether its currents were measured at this luminaire', CURRENTS).optional(),
    ratedMinutes: ratedMinutes.optional(),
    chemistry: chemistry.optional(),
    batteryFitted: batteryFitted.optional(),
    batteriesBefore: f
      .listOf(batteryFitted, 'dates its earlier batteries were fitted, oldest first', 1)
      .optional(),
    celsius: celsius.optional(),
    module: moduleAddress.optional(),
    register: register.optional(),
    milliampsPerCount: milliampsPerCount.optional(),
    floorPlan: f.id('ground').optional(),
    across: f.share('the place on the floor plan, percent of its width from its left edge').optional(),
    down: f.share('the place on the floor plan, percent of its height from its upper edge').optional(),
  },
  'a luminaire, e.g. { id: GA-01, place: Main door, area: entrance, mode: maintained, ... }',
);

const bus = f.group(
  {
    // The driver keeps its times from 9,600 bit/s on.
    bitsPerSecond: f
      .oneNumberOf('the speed set in all modules in bit/s', [9600, 19200, 38400, 57600, 115200])
      .optional(),
    parity: f.oneOf('the parity set in all modules', ['even', 'odd', 'none']).optional(),
    registers: f.oneOf('the kind of registers that are read', ['input', 'holding']).optional(),
  },
  'a group with bitsPerSecond, parity and registers, for those that differ from 19200, even and input',
);

const circuit = f.group(
  {
    id: f.id('ground-a'),
    name: f.words('the name of the circuit'),
    floor: f.id('ground'),
    shared: f.yesNo('does the relay also switch off normal lighting?').optional(),
    alwaysOccupied: f.yesNo('are people there day and night, for example sleeping?').optional(),
    auxiliaryContact: f.yesNo('is an auxiliary contact of the relay wired?').optional(),
    chargeMilliamps: f
      .whole('the charging current right after a duration test in mA, if a sensor is fitted', 1, 60000)
      .optional(),
    emptySec: f
      .whole('the seconds without movement after which the area counts as empty', 60, 7200)
      .optional(),
    ratedMinutes: ratedMinutes.optional(),
    chemistry: chemistry.optional(),
    batteryFitted: batteryFitted.optional(),
    celsius: celsius.optional(),
    bus: bus.optional(),
    register: register.optional(),
    milliampsPerCount: milliampsPerCount.optional(),
    luminaires: f.listOf(luminaire, 'luminaires', 1),
  },
  'a circuit with id, name, floor and luminaires',
);

const hours = f.group(
  {
    days: f.days('the days on which it starts'),
    from: f.clockTime('the start time'),
    to: f.clockTime('the end time'),
  },
  'days with from and to, e.g. { days: [mon, tue], from: "00:30", to: "05:30" }',
);

const area = f.group(
  {
    id: f.id('entrance'),
    name: f.words('the name of the area'),
    floor: f.id('ground'),
    adjacent: f.listOf(f.id('stair-north'), 'ids of areas').optional(),
    occupied: f.listOf(hours, 'hours when people are there').optional(),
    alwaysOccupied: f.yesNo('are people there day and night?').optional(),
    sleeping: f.yesNo('do people sleep there?').optional(),
    wayOut: f.yesNo('are other areas left through it, as by a stair?').optional(),
  },
  'an area with id, name and floor',
);

const location = f.group(
  {
    latitude: f.degrees('the latitude in degrees, south negative', 90),
    longitude: f.degrees('the longitude in degrees, west negative', 180),
  },
  'a group with latitude and longitude, e.g. { latitude: 54.5, longitude: -0.6 }',
);

const floorPlan = f.group(
  {
    id: f.id('ground'),
    name: f.words('the name of the floor plan'),
    picture: f.picturePath('the picture of the floor plan'),
    floor: f.id('ground'),
    areas: f.listOf(f.id('entrance'), 'ids of areas', 1).optional(),
  },
  'a floor plan with id, name, picture and floor',
);

const onLuminaire = { luminaire: id.luminaire, fromDay };
const onCircuit = { circuit: id.circuit, fromDay };
const faultShapes = {
  'dead lamp': f.group({ kind: z.literal('dead lamp'), ...onLuminaire }, 'a fault'),
  'aged battery': f.group(
    {
      kind: z.literal('aged battery'),
      ...onLuminaire,
      lastsMinutes: f.whole('the minutes the battery lasts', 1, 600),
    },
    'a fault',
  ),
  'charger dead': f.group({ kind: z.literal('charger dead'), ...onLuminaire }, 'a fault'),
  'sensor drift': f.group(
    {
      kind: z.literal('sensor drift'),
      ...onLuminaire,
      milliampsPerDay: f.anyNumber('the drift in mA a day'),
    },
    'a fault',
  ),
  'relay stuck closed': f.group(
    { kind: z.literal('relay stuck closed'), ...onCircuit, repairedDay },
    'a fault',
  ),
  'relay sticks open': f.group(
    {
      kind: z.literal('relay sticks open'),
      ...onCircuit,
      seconds: f.whole('the seconds the relay sticks', 1, 86400),
      repairedDay,
    },
    'a fault',
  ),
  'person at night': f.group(
    {
      kind: z.literal('person at night'),
      ...onCircuit,
      everyDays: f.whole('the days between visits', 1, 365),
    },
    'a fault',
  ),
};
type FaultShape = (typeof faultShapes)[keyof typeof faultShapes];
const witness = f.group(
  { url: f.httpAddress('the address of the witness'), key: f.verifierKey('the key of the witness') },
  'a group with url and key of a witness',
);

const fault = z.discriminatedUnion('kind', Object.values(faultShapes) as [FaultShape, ...FaultShape[]], {
  error: `must be one of: ${Object.keys(faultShapes).join(', ')}`,
});

const complianceSchedule = f.group(
  {
    reference: f.words('the number or name of the compliance schedule'),
    briefDays: f.whole('the maximum days between two function tests', 5, 366),
    fullDays: f.whole('the maximum days between two duration tests', 28, 1097),
    fullMinutes: f.whole('the minimum minutes of a duration test', 1, Limit.RatedSecMax / 60),
  },
  'a group with reference, briefDays, fullDays and fullMinutes',
);

const authorityAgreement = f.group(
  {
    reference: f.words('who agreed, and the date or number of the letter'),
    briefDays: f.whole('the maximum days between two function tests', 5, 366),
  },
  'a group with reference and briefDays',
);

const testMore = f.group(
  {
    functionTestDays: f.whole('the days between function tests', LEAST_DAYS.function, 366),
    durationTestDays: f.whole('the days between duration tests', LEAST_DAYS.duration, 1097),
  },
  'a group with functionTestDays and durationTestDays',
);

const percent = (what: string) => f.whole(`the percent of ${what}`, 0, 100);

const byHand = f.group(
  {
    every: f.oneOf('how often keys are turned for function tests', f.ROUNDS),
    fullMonth: f.whole('the month of the yearly duration tests', 1, 12),
    days: f.days('the days on which keys are turned'),
    from: f.clockTime('the time from which keys are turned'),
    to: f.clockTime('the time by which they are turned back'),
    walkMinutes: f.whole('the minutes to walk round one circuit', 1, 240),
    skippedPercent: percent('tests that are missed'),
    overlookedPercent: percent('dark lamps that are overlooked'),
    keyForgottenPercent: percent('tests after which the key is left turned'),
    noticedWithinDays: f.whole('the working days until a key left turned is noticed', 1, 60),
  },
  'a group with every, fullMonth, days, from, to, walkMinutes and what goes wrong',
);

const simulation = f.group(
  {
    start: f.localTime('the time the simulation starts'),
    historyDays: f.whole('the days simulated before the demonstration starts', 0, 3650),
    faults: f.listOf(fault, 'faults'),
    repairDays: f.whole('the days from report to repair', 1, 365).optional(),
    byHand: byHand.optional(),
  },
  'a group with start, historyDays and faults',
);

/** The whole site file. */
export const siteFile = f.group(
  {
    id: f.id('museum'),
    name: f.words('the name of the building'),
    timeZone: f.timeZone(),
    profile: f.words('the name of a rule profile', 24).optional(),
    complianceSchedule: complianceSchedule.optional(),
    authorityAgreement: authorityAgreement.optional(),
    testMore: testMore.optional(),
    responsible: f.words('the person responsible for the emergency lighting'),
    testWindows: f.listOf(hours, 'windows in which the supply may be cut', 1),
    opening: f.listOf(hours, 'opening hours'),
    closedDates: f.listOf(f.date('a day the building is closed'), 'dates').optional(),
    noTestDates: f.listOf(f.date('a day without tests'), 'dates').optional(),
    openingsAtOnce: f.whole('the maximum number of circuits tested at the same time', 1, 1000).optional(),
    staggerSeconds: f.whole('the seconds between the starts of two tests in one night', 1, 3600).optional(),
    location: location.optional(),
    engineerDays: f
      .days('the days on which someone can deal with what a test found the night before')
      .optional(),
    centralSupply: f.yesNo('does a central battery system or panel feed any of the lighting?').optional(),
    witnesses: f.listOf(witness, 'witnesses').optional(),
    timeStamps: f.listOf(f.httpAddress('the address of a time stamp server'), 'addresses').optional(),
    floors: f.listOf(
      f.group({ id: f.id('ground'), name: f.words('the name of the floor') }, 'a floor with id and name'),
      'floors',
      1,
    ),
    floorPlans: f.listOf(floorPlan, 'floor plans').optional(),
    areas: f.listOf(area, 'areas', 1),
    circuits: f.listOf(circuit, 'circuits', 1),
    simulation: simulation.optional(),
  },
  'a site with id, name, timeZone, testWindows, floors, areas and circuits',
);

export type SiteFile = z.infer<typeof siteFile>;

function bare(schema: z.ZodType | undefined): z.ZodType | undefined {
  return schema instanceof z.ZodOptional ? (schema.unwrap() as z.ZodType) : schema;
}

/** The field at a path, optional where it may be left out; undefined where there is none. */
export function fieldAt(path: Path): z.ZodType | undefined {
  let at: z.ZodType | undefined = siteFile;
  for (const part of path) {
    const group = bare(at);
    if (group instanceof z.ZodArray) at = group.element as z.ZodType;
    else if (group instanceof z.ZodObject) at = group.shape[part];
    else if (group instanceof z.ZodDiscriminatedUnion)
      at = (group.options as FaultShape[])
        .map((one) => (one.shape as z.ZodRawShape)[part] as z.ZodType)
        .find(Boolean);
    else return undefined;
  }
  return at;
}

/** What is known of the field at a path. */
export function aboutAt(path: Path): f.About | undefined {
  const field = bare(fieldAt(path));
  return field && f.fields.get(field);
}

/** The fields of each kind of planted fault. */
export const faultKinds: Record<string, string[]> = Object.fromEntries(
  Object.entries(faultShapes).map(([kind, shape]) => [kind, Object.keys(shape.shape)]),
);

/** Keys known in each group, by path without list positions; `faults` lists the keys of every kind. */
export const knownKeys: Record<string, string[]> = {
  '': Object.keys(siteFile.shape),
  testWindows: Object.keys(hours.shape),
  complianceSchedule: Object.keys(complianceSchedule.shape),
  authorityAgreement: Object.keys(authorityAgreement.shape),
  testMore: Object.keys(testMore.shape),
  opening: Object.keys(hours.shape),
  floors: ['id', 'name'],
  floorPlans: Object.keys(floorPlan.shape),
  location: Object.keys(location.shape),
  witnesses: Object.keys(witness.shape),
  areas: Object.keys(area.shape),
  'areas.occupied': Object.keys(hours.shape),
  circuits: Object.keys(circuit.shape),
  'circuits.bus': Object.keys(bus.shape),
  'circuits.luminaires': Object.keys(luminaire.shape),
  simulation: Object.keys(simulation.shape),
  'simulation.byHand': Object.keys(byHand.shape),
  'simulation.faults': [...new Set(Object.values(faultKinds).flat())],
};
