// Faults of one luminaire and its sensor, and the combined effect of those in force. The state is
// recalculated only where a fault begins or ends, so a reading need not look through any list.
import { Limit } from '../../firmware/contract/limits';
import type { Luminaire } from './luminaire';
import type { Span } from './spans';

/** What can go wrong with a luminaire by itself. */
export type OwnFault =
  | { kind: 'dead lamp' }
  | { kind: 'battery open' }
  /** Lasts this long from full. */
  | { kind: 'aged battery'; lastsMs: number }
  | { kind: 'charger dead' }
  /** Lights this much later than a sound driver, ms. */
  | { kind: 'slow start'; slowMs: number }
  /** Share of its lamp current that the driver still gives, 0 to 1. */
  | { kind: 'dim lamp'; output: number }
  /** Leakage or a wrong connection lets a lamp that should be dark on mains glow there, mA. */
  | { kind: 'glows on mains'; milliamps: number }
  /** Its permanent live comes from another circuit: it stays on mains when its own is off. */
  | { kind: 'fed from elsewhere' }
  /** The input floats to its lower rail, sits at the upper rail, or reads nothing. */
  | { kind: 'sensor open' }
  | { kind: 'sensor saturated' }
  | { kind: 'sensor short' }
  /** The sensor stays at its last reading. */
  | { kind: 'sensor stuck' }
  | { kind: 'sensor offset'; milliamps: number }
  | { kind: 'sensor drift'; milliampsPerDay: number }
  /** Noise on top of the sensor's usual noise, mA standard deviation. */
  | { kind: 'sensor noise'; milliamps: number }
  | ModuleState;

/** What is wrong with its current module on a bus; nothing where there is no bus. */
export type ModuleState =
  /** It does not answer. */
  | { kind: 'module silent' }
  /** It answers this long after the request began, ms. */
  | { kind: 'module slow'; lateMs: number }
  /** A second module has its address, and both answer at once. */
  | { kind: 'module clash' };

/** The sensor reads this share of another luminaire's current, and the rest of its own. */
export interface CrossTalk {
  kind: 'sensor cross-talk';
  share: number;
}

/** The conductor of another lamp also passes through the sensor, which reads the sum of both. */
export interface SharedSensor {
  kind: 'sensor shared';
}

/** A fault of its sensor that shows another luminaire's current. */
export type WithOther = CrossTalk | SharedSensor;

export type LuminaireFault = Span & (OwnFault | (WithOther & { with: Luminaire }));

export interface SensorState {
  rail: number | undefined;
  isShort: boolean;
  isStuck: boolean;
  /** Reads `offset + slope * now` too high, mA and mA per ms. */
  offset: number;
  slope: number;
  noise: number;
  crossWith: Luminaire | undefined;
  crossShare: number;
  sharedWith: Luminaire | undefined;
}

export interface FaultState {
  isDark: boolean;
  isBatteryOpen: boolean;
  isChargerDead: boolean;
  /** How long an aged battery lasts from full, ms; 0: the battery is as fitted. */
  lastsMs: number;
  slowMs: number;
  output: number;
  /** Lamp current on mains of one that should be dark there, mA. */
  glow: number;
  isFedElsewhere: boolean;
  /** Undefined while the sensor is sound. */
  sensor: SensorState | undefined;
  /** Undefined while its module is sound. */
  module: ModuleState | undefined;
}

export const SOUND: FaultState = {
  isDark: false,
  isBatteryOpen: false,
  isChargerDead: false,
  lastsMs: 0,
  slowMs: 0,
  output: 1,
  glow: 0,
  isFedElsewhere: false,
  sensor: undefined,
  module: undefined,
};

const DAY_MS = 86400000;

function sensorOf(state: FaultState): SensorState {
  state.sensor ??= {
    rail: undefined,
    isShort: false,
    isStuck: false,
    offset: 0,
    slope: 0,
    noise: 0,
    crossWith: undefined,
    crossShare: 0,
    sharedWith: undefined,
  };
  return state.sensor;
}

function addSensorFault(sensor: SensorState, fault: LuminaireFault): void {
  if (fault.kind === 'sensor open') sensor.rail = Limit.RailLow;
  else if (fault.kind === 'sensor saturated') sensor.rail = Limit.RailHigh;
  else if (fault.kind === 'sensor short') sensor.isShort = true;
  else if (fault.kind === 'sensor stuck') sensor.isStuck = true;
  else if (fault.kind === 'sensor offset') sensor.offset += fault.milliamps;
  else if (fault.kind === 'sensor drift') {
    sensor.slope += fault.milliampsPerDay / DAY_MS;
    sensor.offset -= (fault.from * fault.milliampsPerDay) / DAY_MS;
  } else if (fault.kind === 'sensor noise') sensor.noise += fault.milliamps;
  else if (fault.kind === 'sensor cross-talk') {
    sensor.crossWith = fault.with;
    sensor.crossShare = fault.share;
  } else if (fault.kind === 'sensor shared') sensor.sharedWith = fault.with;
}

/** Whether a fault only affects how a current reaches the controller, and never what it is. */
export function isOfModule(fault: LuminaireFault): fault is Span & ModuleState {
  return fault.kind.startsWith('module');
}

/** Combined effect of the faults in force at `at`. */
export function stateOf(faults: LuminaireFault[], at: number): FaultState {
  const state = { ...SOUND };
  for (const fault of faults) {
    if (at < fault.from || at >= fault.to) continue;
    if (fault.kind === 'dead lamp') state.isDark = true;
    else if (fault.kind === 'battery open') state.isBatteryOpen = true;
    else if (fault.kind === 'charger dead') state.isChargerDead = true;
    else if (fault.kind === 'aged battery') state.lastsMs = fault.lastsMs;
    else if (fault.kind === 'slow start') state.slowMs += fault.slowMs;
    else if (fault.kind === 'dim lamp') state.output *= fault.output;
    else if (fault.kind === 'glows on mains') state.glow = fault.milliamps;
    else if (fault.kind === 'fed from elsewhere') state.isFedElsewhere = true;
    else if (isOfModule(fault)) state.module = fault;
    else addSensorFault(sensorOf(state), fault);
  }
  return state;
}
