// Where the sun stands. Declination and equation of time come from `solar-calculator` (NOAA's equations,
// after Meeus, Astronomical Algorithms); this file applies them to one place.
import { century, declination, equationOfTime } from 'solar-calculator';
import { utcOf } from './civil';

/** Degrees; north and east are positive. */
export interface Place {
  latitude: number;
  longitude: number;
}

/**
 * Degrees from the zenith at which the sun rises and sets: 90 plus half its disc and the usual refraction at
 * the horizon (NOAA; 50 arc minutes, as in almanacs).
 */
const HORIZON = 90.833;
const DAY_SEC = 86400;
const SEC_PER_DEGREE = DAY_SEC / 360;
const LOOK_SEC = 1800;
/** Precision of the search for a horizon crossing, s. */
const CLOSE_SEC = 0.5;

const radians = (degrees: number): number => (degrees * Math.PI) / 180;

/** Degrees by which the sun is past its highest point, -180 to 180. */
function hourAngle(longitude: number, utcSec: number): number {
  const degrees = utcSec / SEC_PER_DEGREE + longitude + equationOfTime(century(utcSec * 1000)) / 4;
  return (((degrees % 360) + 360) % 360) - 180;
}

/** Degrees from the zenith to the centre of the sun at a UTC second, without refraction. */
export function zenith({ latitude, longitude }: Place, utcSec: number): number {
  const delta = radians(declination(century(utcSec * 1000)));
  const phi = radians(latitude);
  const hour = radians(hourAngle(longitude, utcSec));
  const cosine = Math.sin(phi) * Math.sin(delta) + Math.cos(phi) * Math.cos(delta) * Math.cos(hour);
  return (Math.acos(Math.max(-1, Math.min(1, cosine))) * 180) / Math.PI;
}

/** True while the sun is below the horizon at a UTC second; twilight counts as dark. */
export function isDark(place: Place, utcSec: number): boolean {
  return zenith(place, utcSec) > HORIZON;
}

/**
 * Share, 0 to 1, of a span of UTC seconds in which the sun is down, sampled in the middle of each half hour.
 */
export function darkShare(place: Place, from: number, to: number): number {
  const looks = Math.max(1, Math.round((to - from) / LOOK_SEC));
  let dark = 0;
  for (let i = 0; i < looks; i++) if (isDark(place, from + ((i + 0.5) * (to - from)) / looks)) dark++;
  return dark / looks;
}

/**
 * The UTC second between two at which the sun crosses the horizon; it must be dark at exactly one of them.
 */
function crossing(place: Place, from: number, to: number): number {
  const before = isDark(place, from);
  let [low, high] = [from, to];
  while (high - low > CLOSE_SEC) {
    const middle = (low + high) / 2;
    if (isDark(place, middle) === before) low = middle;
    else high = middle;
  }
  return Math.round((low + high) / 2);
}

/** Sunrise and sunset, UTC seconds; or the sun stays above or below the horizon all day. */
export type SunDay = { rise: number; set: number } | 'always light' | 'always dark';

/** The sun on a local date, "YYYY-MM-DD": from midnight before to midnight after its highest point. */
export function sunOf(place: Place, timeZone: string, date: string): SunDay {
  let noon = utcOf(timeZone, date, 12 * 60, 'start');
  noon -= hourAngle(place.longitude, noon) * SEC_PER_DEGREE;
  if (isDark(place, noon)) return 'always dark';
  const [before, after] = [noon - DAY_SEC / 2, noon + DAY_SEC / 2];
  if (!isDark(place, before) || !isDark(place, after)) return 'always light';
  return { rise: crossing(place, before, noon), set: crossing(place, noon, after) };
}
