// Spans of simulated ms during which something holds: an outage, a person in the area, a fault.

/** From `from` up to but not including `to`, simulated ms. */
export interface Span {
  from: number;
  to: number;
}

/** Whether `now` lies in one of these sorted, disjoint spans; spans wholly in the past are dropped. */
export function isIn(spans: Span[], now: number): boolean {
  while (spans.length > 0 && spans[0].to <= now) spans.shift();
  return spans.length > 0 && spans[0].from <= now;
}

/** First beginning or end after `now` of these sorted, disjoint spans; infinite when none. */
export function edgeAfter(spans: Span[], now: number): number {
  for (const span of spans) {
    if (span.from > now) return span.from;
    if (span.to > now) return span.to;
  }
  return Number.POSITIVE_INFINITY;
}

/** Adds a span to sorted, disjoint ones, joining those it touches. */
export function addSpan(spans: Span[], span: Span): void {
  const joined = { from: span.from, to: span.to };
  const apart: Span[] = [];
  for (const other of spans) {
    if (other.to < joined.from || other.from > joined.to) apart.push(other);
    else {
      joined.from = Math.min(joined.from, other.from);
      joined.to = Math.max(joined.to, other.to);
    }
  }
  apart.push(joined);
  apart.sort((a, b) => a.from - b.from);
  spans.splice(0, spans.length, ...apart);
}

/** Among overlapping faults, the one in force at `now` that was planted last. */
export function inForce<T extends Span>(faults: T[], now: number): T | undefined {
  for (let i = faults.length - 1; i >= 0; i--)
    if (faults[i].from <= now && now < faults[i].to) return faults[i];
  return undefined;
}

/** First beginning or end after `now` of faults that may overlap; infinite when none. */
export function faultEdgeAfter(faults: Span[], now: number): number {
  let edge = Number.POSITIVE_INFINITY;
  for (const { from, to } of faults) {
    if (from > now && from < edge) edge = from;
    if (to > now && to < edge) edge = to;
  }
  return edge;
}

/** Last beginning or end up to `now` of faults that may overlap; minus infinite when none. */
export function faultEdgeUpTo(faults: Span[], now: number): number {
  let edge = Number.NEGATIVE_INFINITY;
  for (const { from, to } of faults) {
    if (from <= now && from > edge) edge = from;
    if (to <= now && to > edge) edge = to;
  }
  return edge;
}
