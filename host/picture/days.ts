// Days as numbers (data.ts), in words.

const DAY_MS = 86_400_000;
const MONTHS = ['January', 'February', 'March', 'April', 'May', 'June', 'July', 'August', 'September'].concat(
  ['October', 'November', 'December'],
);

export interface Month {
  name: string;
  /** Its first day, and its number of days. */
  first: number;
  length: number;
}

function dateOf(day: number): Date {
  return new Date(Math.floor(day) * DAY_MS);
}

/** "8 Mar 2026". */
export function dateText(day: number): string {
  const date = dateOf(day);
  return `${date.getUTCDate()} ${MONTHS[date.getUTCMonth()].slice(0, 3)} ${date.getUTCFullYear()}`;
}

/** "01:12". */
export function timeText(day: number): string {
  const minutes = Math.floor((day - Math.floor(day)) * 1440 + 1e-6);
  const two = (value: number) => String(value).padStart(2, '0');
  return `${two(Math.floor(minutes / 60))}:${two(minutes % 60)}`;
}

/** True on Saturday and Sunday. */
export function isWeekend(day: number): boolean {
  return [0, 6].includes(dateOf(day).getUTCDay());
}

/** The months with at least one day from `from` up to but not including `to`. */
export function monthsOf(from: number, to: number): Month[] {
  const months: Month[] = [];
  for (let day = Math.floor(from); day < to; ) {
    const date = dateOf(day);
    const [year, month] = [date.getUTCFullYear(), date.getUTCMonth()];
    const first = Date.UTC(year, month, 1) / DAY_MS;
    const next = Date.UTC(year, month + 1, 1) / DAY_MS;
    months.push({ name: `${MONTHS[month]} ${year}`, first, length: next - first });
    day = next;
  }
  return months;
}
