// What is told of what on a KNX bus: one table, from which values, group addresses and docs/knx.md are made.
import { TESTING_PHASES } from '../../api/phases';
import type { BuildingStatus, CircuitStatus, LuminaireStatus } from '../schema';

/** Datapoint types (KNX Standard, chapter 3/7/2 Datapoint Types; from memory): Alarm, State and Value_2_Ucount. */
export type DatapointType = '1.005' | '1.011' | '7.001';

export interface Point<T> {
  name: string;
  type: DatapointType;
  /** What it says, for the document and the table of group addresses. */
  what: string;
  /** Null for what is not known: it is not told then. */
  of(from: T): number | null;
}

/** Largest value of the type 7.001. */
const COUNT_MAX = 0xffff;

const bit = (value: boolean): number => (value ? 1 : 0);
const alarm = <T>(name: string, what: string, of: (from: T) => boolean): Point<T> => ({
  ...{ name, type: '1.005', what, of: (from) => bit(of(from)) },
});
const state = <T>(name: string, what: string, of: (from: T) => boolean | null): Point<T> => ({
  ...{ name, type: '1.011', what },
  of(from) {
    const value = of(from);
    return value === null ? null : bit(value);
  },
});
const count = <T>(name: string, what: string, of: (from: T) => number): Point<T> => ({
  ...{ name, type: '7.001', what, of: (from) => Math.min(COUNT_MAX, of(from)) },
});

/** Told by the clock, and not with the rest. */
export const HOST: Point<boolean> = state(
  'host',
  '1 while the host is there and looks at the building, written every minute; 0 when it ends in order or gives up a start',
  (isThere) => isThere,
);

const BUILDING: Point<BuildingStatus>[] = [
  alarm(
    'fault',
    '1: a luminaire has failed, or a circuit has a fault',
    ({ luminaires, circuits, troubles }) =>
      luminaires.fail + circuits.silent + circuits.neverHeard > 0 ||
      Object.values(troubles).some((circuitsWithIt) => circuitsWithIt > 0),
  ),
  count('failed', 'luminaires that have failed', ({ luminaires }) => luminaires.fail),
  count('not proven', 'luminaires that are not proven', ({ luminaires }) => luminaires.notProven),
  count(
    'silent',
    'controllers that are silent or were never heard',
    ({ circuits }) => circuits.silent + circuits.neverHeard,
  ),
  state('test', '1: a test runs on a circuit', ({ testing }) => testing > 0),
];

const CIRCUIT: Point<CircuitStatus>[] = [
  alarm(
    'fault',
    '1: a trouble lasts (fault of the tester, mains failure, testing on hold, test overdue), or its controller is silent or was never heard',
    ({ contact, troubles }) => contact === 'silent' || contact === 'never heard' || troubles.length > 0,
  ),
  state('test', '1: a test runs', (circuit) => TESTING_PHASES.includes(circuit.state)),
  state(
    'on battery',
    '1: its luminaires are on battery, for a test or otherwise',
    ({ relayOpen, supply: { behindRelay } }) =>
      relayOpen === true || (behindRelay === null ? null : !behindRelay),
  ),
];

const LUMINAIRE: Point<LuminaireStatus>[] = [
  alarm('fault', '1: it has failed', ({ verdict }) => verdict === 'fail'),
  alarm(
    'not proven',
    '1: nothing failed, but nothing shows of late that it works',
    ({ verdict }) => verdict === 'not proven',
  ),
];

/** What is told beside `HOST`, of each kind of thing. */
export const POINTS = { building: BUILDING, circuit: CIRCUIT, luminaire: LUMINAIRE } as const;
export type ThingKind = keyof typeof POINTS;

/** All of a kind of thing, as they stand in the table of group addresses. */
export function pointsOf(what: ThingKind): Pick<Point<never>, 'name' | 'type' | 'what'>[] {
  return what === 'building' ? [HOST, ...BUILDING] : POINTS[what];
}
