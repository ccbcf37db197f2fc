// One luminaire: charger, battery, driver, lamp and the sensor on its lamp current.
import { type LampSettings, ON_MAINS, OnMains } from '../../firmware/contract/lamps';
import { type Battery, chargeMilliamps, emptyAt, fitBattery, newBattery, setBatteryMode } from './battery';
import type { Chemistry } from './chemistry';
import { type Driver, type DriverKind, driverOf, lampShare } from './driver';
import { type FaultState, type LuminaireFault, type SensorState, SOUND, stateOf } from './luminaireFaults';
import { faultEdgeAfter } from './spans';

export interface LuminaireSpec extends LampSettings {
  id: string;
  chemistry: Chemistry;
  /** Hours a full battery lasts, as a multiple of rated duration. */
  margin: number;
  /** Temperature of its cells, degrees C; 25 by default. */
  celsius?: number;
  /** LED by default. */
  driver?: DriverKind;
}

export interface Luminaire {
  spec: LuminaireSpec;
  battery: Battery;
  driver: Driver;
  /** As planted, in any order; `state` is their combined effect until `faultsChangeAt`. */
  faults: LuminaireFault[];
  state: FaultState;
  faultsChangeAt: number;
  supplied: boolean;
  changedAt: number;
  /** Last reading of the sensor; undefined before the first. */
  held: number | undefined;
}

/** Sensor noise after a burst average, mA standard deviation. */
export const NOISE_MILLIAMPS = 2;

/** Battery-side load of a driver: a lamp string of about 30 V on a 3.6 V battery would be 8 times; CP. */
function loadOf(spec: LuminaireSpec): number {
  return (spec.batteryMilliamps / 1000) * 4;
}

export function newLuminaire(spec: LuminaireSpec): Luminaire {
  const hours = (spec.ratedSec / 3600) * spec.margin;
  return {
    spec,
    battery: newBattery(spec.chemistry, hours, loadOf(spec), spec.celsius),
    driver: driverOf(spec.driver ?? 'LED'),
    faults: [],
    state: SOUND,
    faultsChangeAt: Number.POSITIVE_INFINITY,
    supplied: true,
    changedAt: 0,
    held: undefined,
  };
}

/** Adds a fault to this luminaire from now on, or from its start if that is later. */
export function plantLuminaireFault(l: Luminaire, fault: LuminaireFault): void {
  l.faults.push(fault);
  l.faultsChangeAt = Math.min(l.faultsChangeAt, fault.from);
}

/** Faults in force at any instant between the two: what a verdict may have depended on. */
export function faultsBetween(l: Luminaire, from: number, to: number): LuminaireFault[] {
  return l.faults.filter((fault) => fault.from <= to && fault.to > from);
}

/** Whether it has supply: its own, or one that it should not have. */
function isOnMains(l: Luminaire): boolean {
  return l.supplied || l.state.isFedElsewhere;
}

/** Mode the battery is in, given the supply and the faults. */
function modeOf(l: Luminaire): Battery['mode'] {
  if (!isOnMains(l)) return l.state.isDark || l.state.isBatteryOpen ? 'resting' : 'loaded';
  return l.state.isChargerDead || l.state.isBatteryOpen ? 'resting' : 'charging';
}

/** Applies faults and repairs at the instant they occur; does nothing in between. */
function settleFaults(l: Luminaire, now: number): void {
  while (now >= l.faultsChangeAt) {
    const at = l.faultsChangeAt;
    const lastsMs = l.state.lastsMs;
    l.state = stateOf(l.faults, at);
    l.faultsChangeAt = faultEdgeAfter(l.faults, at);
    if (l.state.lastsMs !== lastsMs) fitBattery(l.battery, l.state.lastsMs, at);
    setBatteryMode(l.battery, modeOf(l), at);
  }
}

/** The permanent supply goes or returns. */
export function setSupplied(l: Luminaire, supplied: boolean, now: number): void {
  if (l.supplied === supplied) return;
  settleFaults(l, now);
  l.supplied = supplied;
  l.changedAt = now;
  setBatteryMode(l.battery, modeOf(l), now);
}

/** Whether the lamp is lit on battery now; the truth behind the sensor. */
export function isLitOnBattery(l: Luminaire, now: number): boolean {
  settleFaults(l, now);
  return l.battery.mode === 'loaded' && now < emptyAt(l.battery);
}

/**
 * Whether the lamp was still lit on battery at `at`, which lies in the present spell without supply; asked at
 * `now`. One that is dark by a fault counts as lit if the fault began after `at`.
 */
export function wasLitAt(l: Luminaire, at: number, now: number): boolean {
  if (isLitOnBattery(l, now)) return true;
  if (l.battery.mode === 'loaded') return at < emptyAt(l.battery);
  return l.faults.some(
    ({ kind, from, to }) =>
      (kind === 'dead lamp' || kind === 'battery open' || kind === 'fed from elsewhere') &&
      from > at &&
      from <= now &&
      to > now,
  );
}

/** True lamp current, mA: that of the driver on mains or battery, none once the battery is cut off. */
export function lampMilliamps(l: Luminaire, now: number): number {
  settleFaults(l, now);
  const state = l.state;
  if (state.isDark) return 0;
  if (isOnMains(l))
    return ON_MAINS[l.spec.mode] === OnMains.Dark ? state.glow : l.spec.mainsMilliamps * state.output;
  if (state.isBatteryOpen) return 0;
  const end = emptyAt(l.battery);
  if (now >= end) return 0;
  const lit = now - l.changedAt - state.slowMs;
  return (
    l.spec.batteryMilliamps *
    lampShare(l.driver, lit, (now - l.changedAt) / (end - l.changedAt)) *
    state.output
  );
}

/** Current of a lamp in closed form, mA: `first - fall * t * t` until `until`, t in ms since its supply changed. */
export interface Piece {
  first: number;
  fall: number;
  until: number;
}

/**
 * The form of the current from `now` on. @returns false where there is none: the sensor must then be read
 * directly
 */
export function pieceOf(l: Luminaire, now: number, into: Piece): boolean {
  settleFaults(l, now);
  const { state, spec, driver } = l;
  into.first = lampMilliamps(l, now);
  into.fall = 0;
  into.until = l.faultsChangeAt;
  if (state.sensor) return false;
  const end = emptyAt(l.battery);
  if (isOnMains(l) || state.isDark || state.isBatteryOpen || now >= end) return true;
  const litMs = now - l.changedAt - state.slowMs;
  const strikeAt = l.changedAt + state.slowMs + driver.strikeMs;
  if (now < strikeAt) {
    into.until = Math.min(into.until, strikeAt, end);
    return true;
  }
  if (litMs < driver.runUpMs) {
    into.until = Math.min(into.until, l.changedAt + state.slowMs + driver.runUpMs);
    return false;
  }
  const lasts = end - l.changedAt;
  into.first = spec.batteryMilliamps * driver.first * state.output;
  into.fall = (spec.batteryMilliamps * driver.sag * state.output) / (lasts * lasts);
  into.until = Math.min(into.until, end);
  return true;
}

/** Current its charger delivers now, mA. */
export function chargingMilliamps(l: Luminaire, now: number): number {
  settleFaults(l, now);
  return chargeMilliamps(l.battery, now);
}

/** What a faulty sensor reports, whole mA. */
function faultyReading(l: Luminaire, sensor: SensorState, now: number, jitter: number): number {
  if (sensor.isStuck && l.held !== undefined) return l.held;
  if (sensor.rail !== undefined) return sensor.rail;
  let milliamps = sensor.isShort ? 0 : lampMilliamps(l, now);
  if (sensor.crossWith) milliamps += (lampMilliamps(sensor.crossWith, now) - milliamps) * sensor.crossShare;
  if (sensor.sharedWith) milliamps += lampMilliamps(sensor.sharedWith, now);
  const offset = sensor.offset + sensor.slope * now;
  return Math.round(milliamps + offset + jitter * (1 + sensor.noise / NOISE_MILLIAMPS));
}

/** What the sensor reports, whole mA; `jitter` is the noise of a sound one, mA. */
export function sensorMilliamps(l: Luminaire, now: number, jitter: number): number {
  settleFaults(l, now);
  const sensor = l.state.sensor;
  l.held = sensor ? faultyReading(l, sensor, now, jitter) : Math.round(lampMilliamps(l, now) + jitter);
  return l.held;
}
