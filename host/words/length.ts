// Lengths of time, the same wherever people read them.

/** A length of time for people, from seconds: "45 s", "90 min", "2 h 05 min", "3 h". */
export function lengthWord(seconds: number): string {
  if (seconds < 120) return `${seconds} s`;
  const minutes = Math.round(seconds / 60);
  if (minutes < 120) return `${minutes} min`;
  const rest = minutes % 60;
  return `${Math.floor(minutes / 60)} h${rest === 0 ? '' : ` ${String(rest).padStart(2, '0')} min`}`;
}

/** The same for what was reached: never reads as more than it was. */
export function lengthAtMost(seconds: number): string {
  return lengthWord(seconds < 120 ? seconds : Math.floor(seconds / 60) * 60);
}

/** The same for what is needed: from two minutes up, a minute begun counts in full. */
export function lengthAtLeast(seconds: number): string {
  return lengthWord(seconds < 120 ? seconds : Math.ceil(seconds / 60) * 60);
}
