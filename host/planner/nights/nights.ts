import { dateAfter, localDate, offsetRange, utcOf, weekdayOf } from '../../site/civil';
import type { Site, TestWindow } from '../../site/model';
import { endMinute } from '../../site/windows';

export const DAY_SEC = 86400;

/** One night in which tests are permitted: its number and its usable span, UTC seconds. */
export interface Night {
  night: number;
  start: number;
  end: number;
  /** Someone can follow up the results on the next day. */
  followUp: boolean;
}

/** Second of the UTC day of local noon in standard time, at which the night number changes (I7). */
export function noonOf(timeZone: string, utcSec: number): number {
  return modulo(DAY_SEC / 2 - offsetRange(timeZone, utcSec).least, DAY_SEC);
}

/** Number of the night containing a UTC second. */
export function nightAt(utcSec: number, noon: number): number {
  return Math.floor((utcSec - noon) / DAY_SEC);
}

/** Remainder that is never negative. */
export function modulo(value: number, by: number): number {
  return ((value % by) + by) % by;
}

function touchesBarredDate(site: Site, start: number, end: number): boolean {
  const barred = site.noTestDates;
  if (barred.length === 0) return false;
  return (
    barred.includes(localDate(site.timeZone, start)) || barred.includes(localDate(site.timeZone, end - 1))
  );
}

/** Cuts a span where the night number changes, so that each piece belongs to one night. */
function pieces(start: number, end: number, noon: number): { night: number; start: number; end: number }[] {
  const out: { night: number; start: number; end: number }[] = [];
  for (let at = start; at < end; ) {
    const night = nightAt(at, noon);
    const until = Math.min(end, noon + (night + 1) * DAY_SEC);
    out.push({ night, start: at, end: until });
    at = until;
  }
  return out;
}

function windowSpan(site: Site, window: TestWindow, date: string): { start: number; end: number } {
  return {
    start: utcOf(site.timeZone, date, window.from, 'start'),
    end: utcOf(site.timeZone, date, endMinute(window), 'end'),
  };
}

/**
 * The permitted nights wholly between two UTC seconds, in order; of several windows in one night, the
 * longest. Windows follow civil time through every change of the clocks.
 */
export function permittedNights(site: Site, noon: number, from: number, until: number): Night[] {
  const best = new Map<number, Night>();
  const last = localDate(site.timeZone, until);
  for (let date = dateAfter(localDate(site.timeZone, from), -1); date <= last; date = dateAfter(date, 1)) {
    const weekday = weekdayOf(date);
    for (const window of site.windows) {
      if (!window.days.includes(weekday)) continue;
      const span = windowSpan(site, window, date);
      if (span.end <= span.start || touchesBarredDate(site, span.start, span.end)) continue;
      for (const piece of pieces(span.start, span.end, noon)) {
        const known = best.get(piece.night);
        if (piece.start < from || piece.end > until) continue;
        if (known && known.end - known.start >= piece.end - piece.start) continue;
        const followUp = site.engineerDays.includes(weekdayOf(localDate(site.timeZone, piece.end)));
        // Field by field: copied whole, every night would have a shape of its own, and reading one take much longer.
        best.set(piece.night, { night: piece.night, start: piece.start, end: piece.end, followUp });
      }
    }
  }
  return [...best.values()].sort((a, b) => a.night - b.night);
}
