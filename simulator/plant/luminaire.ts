// One luminaire: charger, battery, driver, lamp and the sensor on its lamp current.

import { nextGauss, type Random } from '../random';
import {
  type Battery,
  type Chemistry,
  chargeMilliamps,
  emptyAt,
  newBattery,
  setBatteryMode,
} from './battery';

/** Mode of IEC 60598-2-22: non-maintained, maintained, switched maintained, combined. */
export type LampMode = 0 | 1 | 2 | 3;

export interface LuminaireSpec {
  id: string;
  mode: LampMode;
  ratedSec: number;
  batteryMilliamps: number;
  mainsMilliamps: number;
  chemistry: Chemistry;
  /** Hours a full battery lasts, as a multiple of rated duration. */
  margin: number;
}

export interface LuminaireFaults {
  deadLampFrom: number;
  chargerDeadFrom: number;
  /** Battery replaced in the model by one that lasts this long, from then on. */
  agedFrom: number;
  agedMs: number;
  driftFrom: number;
  driftPerDay: number;
  /** The sensor stays at what it last read. */
  stuckFrom: number;
  /** The sensor reads this share of another luminaire's current, and the rest of its own. */
  crossFrom: number;
  crossWith: Luminaire | undefined;
  crossShare: number;
}

export interface Luminaire {
  spec: LuminaireSpec;
  battery: Battery;
  faults: LuminaireFaults;
  supplied: boolean;
  changedAt: number;
  aged: boolean;
  /** Last reading of the sensor; undefined before the first. */
  held: number | undefined;
  random: Random;
}

/** Start of the driver on battery, ms: lit well before the 5 s point. */
const STRIKE_MS = 400;
/** Sensor noise after a burst average, mA standard deviation. */
const NOISE_MILLIAMPS = 2;
const NEVER = Number.POSITIVE_INFINITY;

export function noFaults(): LuminaireFaults {
  return {
    deadLampFrom: NEVER,
    chargerDeadFrom: NEVER,
    agedFrom: NEVER,
    agedMs: 0,
    driftFrom: NEVER,
    driftPerDay: 0,
    stuckFrom: NEVER,
    crossFrom: NEVER,
    crossWith: undefined,
    crossShare: 0,
  };
}

/** Battery-side load of a driver: lamp string of some 30 V from a 3.6 V battery would be 8 times; CP. */
function loadOf(spec: LuminaireSpec): number {
  return (spec.batteryMilliamps / 1000) * 4;
}

export function newLuminaire(spec: LuminaireSpec, random: Random): Luminaire {
  const hours = (spec.ratedSec / 3600) * spec.margin;
  return {
    spec,
    battery: newBattery(spec.chemistry, hours, loadOf(spec)),
    faults: noFaults(),
    supplied: true,
    changedAt: 0,
    aged: false,
    held: undefined,
    random,
  };
}

/** Mode the battery is in, given the supply and the faults. */
function modeAt(l: Luminaire, now: number): Battery['mode'] {
  if (!l.supplied) return now >= l.faults.deadLampFrom ? 'resting' : 'loaded';
  return now >= l.faults.chargerDeadFrom ? 'resting' : 'charging';
}

/** Lets faults whose time has come bite; cheap, called at every change and reading. */
function settleFaults(l: Luminaire, now: number): void {
  if (!l.aged && now >= l.faults.agedFrom) {
    l.aged = true;
    setBatteryMode(l.battery, l.battery.mode, now);
    l.battery.capacityAh = newBattery(l.spec.chemistry, l.faults.agedMs / 3600000, loadOf(l.spec)).capacityAh;
  }
  const mode = modeAt(l, now);
  if (mode !== l.battery.mode) setBatteryMode(l.battery, mode, now);
}

/** The permanent live goes away or comes back. */
export function setSupplied(l: Luminaire, supplied: boolean, now: number): void {
  if (l.supplied === supplied) return;
  settleFaults(l, now);
  l.supplied = supplied;
  l.changedAt = now;
  setBatteryMode(l.battery, modeAt(l, now), now);
}

/** Whether the lamp burns on battery now; the truth behind the sensor. */
export function isLitOnBattery(l: Luminaire, now: number): boolean {
  return !l.supplied && now < l.faults.deadLampFrom && now < emptyAt(l.battery);
}

/** True lamp current, mA. On battery it sags by a twelfth towards the end, then is cut off. */
export function lampMilliamps(l: Luminaire, now: number): number {
  settleFaults(l, now);
  if (now >= l.faults.deadLampFrom) return 0;
  if (l.supplied) return l.spec.mode === 1 || l.spec.mode === 2 ? l.spec.mainsMilliamps : 0;
  const end = emptyAt(l.battery);
  if (now >= end || now - l.changedAt < STRIKE_MS) return 0;
  const used = (now - l.changedAt) / (end - l.changedAt);
  return l.spec.batteryMilliamps * (1.03 - 0.08 * used * used);
}

/** Current its charger delivers now, mA. */
export function chargingMilliamps(l: Luminaire, now: number): number {
  settleFaults(l, now);
  return chargeMilliamps(l.battery, now);
}

/** Current behind the sensor: its own lamp's, or mixed with another's. */
function sensedMilliamps(l: Luminaire, now: number): number {
  const own = lampMilliamps(l, now);
  const { crossFrom, crossWith, crossShare } = l.faults;
  return crossWith && now >= crossFrom ? own + (lampMilliamps(crossWith, now) - own) * crossShare : own;
}

/** What the sensor reports, whole mA. */
export function sensorMilliamps(l: Luminaire, now: number, noise: boolean): number {
  if (l.held !== undefined && now >= l.faults.stuckFrom) return l.held;
  const days = now > l.faults.driftFrom ? (now - l.faults.driftFrom) / 86400000 : 0;
  const jitter = noise ? nextGauss(l.random) * NOISE_MILLIAMPS : 0;
  l.held = Math.round(sensedMilliamps(l, now) + days * l.faults.driftPerDay + jitter);
  return l.held;
}
