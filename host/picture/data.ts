// What a picture of an estate's year is drawn from. Days are numbers: whole days since 1970 in the building's
// civil time, with the time of day as the fraction.

export type Outcome = 'passed' | 'failed' | 'void';
export type Kind = 'brief' | 'full' | 'limited';

export interface TestMark {
  day: number;
  kind: Kind;
  outcome: Outcome;
  /** Ids of the luminaires that failed. */
  failed: string[];
}

export interface Bar {
  from: number;
  to: number;
  /** The batteries are recharging; or the luminaires have no supply although no test asks for that. */
  kind: 'recharge' | 'off';
}

export interface CircuitYear {
  name: string;
  tests: TestMark[];
  bars: Bar[];
}

export interface LampCurve {
  name: string;
  hasFailed: boolean;
  /** Corners of the curve: minutes since the supply was lost, and lamp current in mA. */
  points: [minutes: number, milliamps: number][];
}

/** The discharge of one circuit. */
export interface Discharge {
  circuit: string;
  day: number;
  kind: Kind;
  ratedMinutes: number;
  lamps: LampCurve[];
}

/** One estate in one year. */
export interface EstateYear {
  name: string;
  /** First day, and the day after the last. */
  from: number;
  to: number;
  circuits: CircuitYear[];
  discharges: Discharge[];
}
