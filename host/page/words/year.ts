// The plan month by month, and each of its nights in words. Dates are the building's local dates, as the host
// gives them; only the words for instants know a time zone.
import type { BuildingView, PlanNight, PlanView } from '../../api/views';
import { t } from '../tongues/tongue';
import { kindName } from './kinds';
import { clockTime, dayAndTime, dayOf, monthWord } from './time';

export interface YearMonth {
  /** "2026-01". */
  key: string;
  /** "January 2026". */
  title: string;
  days: number;
  /** Days of the month that fall on a Saturday or Sunday. */
  weekend: number[];
  nights: PlanNight[];
}

const MONTHS = 12;

/** Day of the month of a date "YYYY-MM-DD". */
export function dayOfMonth(date: string): number {
  return Number(date.slice(8));
}

/** Twelve months from the month of a date, with the nights of the plan that begin in each. */
export function yearMonths(view: PlanView, fromDate: string): YearMonth[] {
  const [year, month] = fromDate.split('-').map(Number);
  const byMonth = new Map<string, PlanNight[]>();
  for (const night of view.nights) {
    const key = night.date.slice(0, 7);
    byMonth.set(key, [...(byMonth.get(key) ?? []), night]);
  }
  return Array.from({ length: MONTHS }, (_, i) => {
    const first = new Date(Date.UTC(year, month - 1 + i, 1));
    const key = first.toISOString().slice(0, 7);
    const days = new Date(Date.UTC(year, month + i, 0)).getUTCDate();
    const weekend = Array.from({ length: days }, (_day, d) => d + 1).filter(
      (day) => (first.getUTCDay() + day - 1) % 7 === 6 || (first.getUTCDay() + day - 1) % 7 === 0,
    );
    const title = monthWord(first.getTime() / 1000);
    return { key, title, days, weekend, nights: byMonth.get(key) ?? [] };
  });
}

/** Steps of exposure in a night, h: none, below 1, below 4, and more. */
export const EXPOSURE_STEPS = [0, 1, 4];

/** 0 for no exposure, then 1 to 3 as it grows. */
export function exposureStep(hours: number): number {
  if (hours < 0.005) return 0;
  return EXPOSURE_STEPS.filter((least) => hours >= least).length;
}

/** "4.2 h", "under 0.1 h". */
export function exposureWord(hours: number): string {
  return hours < 0.1 ? t.year.underTenth : t.year.hours(hours);
}

type Lit = Pick<BuildingView, 'circuits' | 'areas'>;

/** The areas of a circuit: "Entrance hall, Shop". */
export function areasOf({ circuits, areas }: Lit, id: string): string {
  const lit = circuits.find((one) => one.id === id)?.areas ?? [];
  return areas
    .filter((area) => lit.includes(area.id))
    .map(({ name }) => name)
    .join(', ');
}

/** What people know a circuit by: "Ground floor A: Entrance hall, Shop". */
export function knownAs(lit: Lit, id: string): string {
  const name = lit.circuits.find((one) => one.id === id)?.name ?? '';
  const areas = areasOf(lit, id);
  return areas === '' || areas === name ? name : `${name}: ${areas}`;
}

/** A row of the picture for screen readers: "ground-a: function test on 3, recharging on 17 and 18." */
export function rowWords(circuit: string, nights: PlanNight[]): string {
  const parts = Object.entries(t.year.marks).flatMap(([mark, word]) => {
    const days = nights.filter((night) => night.mark === mark).map((night) => dayOfMonth(night.date));
    return days.length === 0 ? [] : [t.year.on(word, days.join(t.and))];
  });
  return t.year.row(circuit, parts.length === 0 ? t.year.rowNothing : parts.join(', '));
}

/** A night's test, its time and its cost: one line, without the circuit. */
export function nightWords(night: PlanNight, zone: string): string {
  const { mark, start, end, recharged, dark, exposureHours } = night;
  const light = dark === null ? '' : dark ? t.year.inDark : t.year.inDaylight;
  const cost = exposureHours < 0.005 ? '' : ` ${t.year.exposure(exposureWord(exposureHours))}`;
  const full = t.year.fullAgain(dayAndTime(recharged, zone));
  if (mark === 'recharge') return `${t.year.rechargingAfter(kindName(night.kind), full)}${cost}`;
  const ending = dayOf(start, zone) === dayOf(end, zone) ? clockTime(end, zone) : dayAndTime(end, zone);
  return `${kindName(night.kind)} ${dayAndTime(start, zone)} – ${ending}${light}, ${full}.${cost}`;
}
