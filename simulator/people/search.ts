// Finds the instant at which a lasting condition first holds.

/**
 * First whole ms in (`from`, `to`] at which `holds` is true; it must be true at `to` and, once true, stay so.
 * `from` itself if it is already true there.
 */
export function firstWhere(holds: (at: number) => boolean, from: number, to: number): number {
  if (holds(from)) return from;
  let no = from;
  let yes = to;
  while (yes - no > 1) {
    const middle = Math.floor((no + yes) / 2);
    if (holds(middle)) yes = middle;
    else no = middle;
  }
  return yes;
}
