// The site as the rest of the program sees it: checked, complete, all names resolved.
// The YAML schema (schema.ts) produces this; nothing else does.

import type { ModeWord } from '../../firmware/contract/lamps';
import type { MoreTests } from '../profiles/more';
import type { AgreementValues, ScheduleValues } from '../profiles/schedule';

export type Weekday = 'mon' | 'tue' | 'wed' | 'thu' | 'fri' | 'sat' | 'sun';
/** The largest commissioned lamp current, mA. */
export const MILLIAMPS_MAX = 2000;

export type Chemistry = 'NiCd' | 'NiMH' | 'LiFePO4' | 'lead-acid';

export interface Floor {
  id: string;
  name: string;
}

export interface Area {
  id: string;
  name: string;
  floor: string;
  /** Areas an escape route leads into directly; symmetric after loading. */
  adjacent: string[];
  /** When people are there; dates on which the building is closed count as empty. [] means never. */
  occupied: OpeningHours[];
  /** People are there day and night, on closed dates too; `occupied` is then ignored. */
  always: boolean;
  /** People sleep there; it counts as always occupied. */
  sleeping: boolean;
  /** Other areas are left through it, such as a stair; found from the floors it joins if not given. */
  wayOut?: boolean;
}

/** A picture on which luminaires are shown. */
export interface FloorPlan {
  id: string;
  name: string;
  /** Path of an SVG, PNG or JPEG file from the folder of the site file, with slashes. */
  picture: string;
  floor: string;
  /** Areas it shows; missing: all of the floor. */
  areas?: string[];
}

/** A place on a floor plan, % of its width from its left edge and of its height from its upper edge. */
export interface Spot {
  floorPlan: string;
  across: number;
  down: number;
}

/** Where a luminaire's current is read on the bus of its circuit. */
export interface BusModule {
  /** Address of its module, 1 to 247. */
  address: number;
  /** Register as sent on the wire, 0 to 65,535. */
  register: number;
  milliampsPerCount: number;
}

/** How the modules of a circuit's bus are set; what is missing is as on the controller's board. */
export interface Bus {
  bitsPerSecond?: number;
  parity?: 'even' | 'odd' | 'none';
  registers?: 'input' | 'holding';
}

export interface Luminaire {
  /** Unique in the site, e.g. "G2-04". Its results stay with it wherever it moves. */
  id: string;
  /** Ids it had before. */
  formerly?: string[];
  place: string;
  area: string;
  /** Areas its light reaches, sorted; its own area if the file names none. */
  serves: string[];
  mode: ModeWord;
  /** Rated duration, s. */
  ratedSec: number;
  /** Commissioned lamp current on battery and on mains, mA (mains is 0 in modes that are dark on mains). */
  batteryMilliamps: number;
  mainsMilliamps: number;
  /** True if these currents are expected of it, and nobody has measured them. */
  isExpected?: boolean;
  chemistry: Chemistry;
  /** ISO date the battery was fitted. */
  batteryFitted: string;
  /** ISO dates its earlier batteries were fitted, oldest first. */
  batteriesBefore?: string[];
  /** Usual temperature at its battery, degrees C; missing: not known. */
  celsius?: number;
  /** Its current module; missing: it has a channel of the controller's converter. Alike in a whole circuit. */
  module?: BusModule;
  /** Missing: it is on no floor plan. */
  spot?: Spot;
}

export interface Circuit {
  /** Also the controller's id: [a-z0-9-]{1,24}. */
  id: string;
  name: string;
  floor: string;
  /** The relay also darkens normal lighting. */
  shared: boolean;
  /** People are always there: limited tests are planned instead of full ones, which stay owed. */
  alwaysOccupied: boolean;
  /** The relay has a forcibly guided auxiliary contact wired to the controller. */
  auxiliaryContact: boolean;
  /** Charging current right after a full test, mA; 0 if no sensor is wired. */
  chargeMilliamps: number;
  /** Seconds without movement that prove the area empty (shared circuits). */
  emptySec: number;
  /** Missing: the lamps are read by the controller's converter. */
  bus?: Bus;
  luminaires: Luminaire[];
  /** Areas its luminaires stand in or serve, sorted. */
  areas: string[];
  /** Longest rated duration among its luminaires, s. */
  ratedSec: number;
}

/** Nights on which the supply may be switched off, local civil time; `to` may fall on the next day. */
export interface TestWindow {
  days: Weekday[];
  /** Minutes since local midnight; `to` <= `from` means the next morning. */
  from: number;
  to: number;
}

/** Opening hours of the building for people, local civil time. */
export interface OpeningHours {
  days: Weekday[];
  from: number;
  to: number;
}

/** Faults the simulator plants; invented data that nothing else reads. */
export type PlantedFault =
  | { kind: 'dead lamp'; luminaire: string; fromDay: number }
  | { kind: 'aged battery'; luminaire: string; fromDay: number; lastsMinutes: number }
  | { kind: 'charger dead'; luminaire: string; fromDay: number }
  | { kind: 'sensor drift'; luminaire: string; fromDay: number; milliampsPerDay: number }
  | { kind: 'relay stuck closed'; circuit: string; fromDay: number; repairedDay: number }
  | { kind: 'relay sticks open'; circuit: string; fromDay: number; seconds: number; repairedDay: number }
  | { kind: 'person at night'; circuit: string; fromDay: number; everyDays: number };

/** How circuits are tested where they have no controller; only the simulator reads it. */
export interface ByHand {
  every: 'week' | 'month' | 'quarter';
  /** Month of the yearly full tests, 1 to 12. */
  fullMonth: number;
  /** Working hours, local civil time, minutes since midnight. */
  days: Weekday[];
  from: number;
  to: number;
  walkMinutes: number;
  skippedPercent: number;
  overlookedPercent: number;
  keyForgottenPercent: number;
  noticedWithinDays: number;
}

export interface SimulationSettings {
  /** Local civil time at which the simulation begins, ISO without zone, e.g. "2026-01-05T09:00". */
  start: string;
  /** Days `npm start` simulates at full speed before it shows the page. */
  historyDays: number;
  faults: PlantedFault[];
  /** Days from the report of a failure to its repair, used in comparisons. */
  repairDays: number;
  byHand?: ByHand;
}

/** A witness that signs the log book's checkpoints. */
export interface WitnessAddress {
  url: string;
  /** Verifier key, as the witness prints it. */
  key: string;
}

export interface Site {
  id: string;
  name: string;
  timeZone: string;
  profile: string;
  /** Values for a profile whose rules are set for each building. */
  complianceSchedule?: ScheduleValues;
  /** The authority's agreement to a longer interval, for a profile that provides for it. */
  authorityAgreement?: AgreementValues;
  /** How often to test on top of what the rules ask, where few or no people are met; not given: never. */
  testMore?: MoreTests;
  /** The person responsible for the emergency lighting, printed on pages and reports. */
  responsible: string;
  windows: TestWindow[];
  opening: OpeningHours[];
  /**
   * ISO dates on which the building is closed to people / on which nothing may be tested; a test window that
   * touches one of the latter is skipped entirely.
   */
  closedDates: string[];
  noTestDates: string[];
  /** Most circuits discharged at the same time. */
  openingsAtOnce: number;
  /** Shortest time between the starts of circuits that share a night, s: chargers draw most at first. */
  staggerSec: number;
  /** Location of the building, degrees; north and east are positive. */
  location?: { latitude: number; longitude: number };
  /** Days on which someone can follow up what the previous night's test found; every day if not given. */
  engineerDays: Weekday[];
  /** A central battery system or panel feeds some of the lighting: people look at its indicators every day. */
  centralSupply?: true;
  /** Who signs the log book's checkpoints, and the addresses of RFC 3161 time stamp servers for them. */
  witnesses?: WitnessAddress[];
  timeStamps?: string[];
  floors: Floor[];
  floorPlans?: FloorPlan[];
  areas: Area[];
  circuits: Circuit[];
  simulation: SimulationSettings;
}
