// Times as a browser's input takes them, "2026-01-31T14:05", in the building's own time zone, wherever the reader is.
import { dateIn, minuteIn } from './time';

/** A moment as the input shows it. */
export function inputOf(utcSec: number, zone: string): string {
  return `${dateIn(utcSec, zone)}T${minuteIn(utcSec, zone)}`;
}

/**
 * The UTC second of what the input holds; NaN if it is no time. Of a time that the clocks repeat it is the first, and
 * one that they skip is an hour later.
 */
export function utcOfInput(text: string, zone: string): number {
  const local = Date.parse(`${text}Z`) / 1000;
  if (!/^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}$/.test(text) || Number.isNaN(local)) return Number.NaN;
  const offsetAt = (utc: number) => Date.parse(`${inputOf(utc, zone)}Z`) / 1000 - Math.floor(utc / 60) * 60;
  const offsets = [offsetAt(local - 86_400), offsetAt(local + 86_400)];
  const fits = offsets.map((offset) => local - offset).filter((utc) => inputOf(utc, zone) === text);
  return fits.length > 0 ? Math.min(...fits) : local - offsets[0];
}
