// The instant at which something that holds from then on begins to hold.

/**
 * First whole ms in (`from`, `to`] at which `holds`, which does at `to` and, once it does, goes on doing so.
 * `from` itself where it holds there already.
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
