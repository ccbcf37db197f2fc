import { offsetRange } from '../../site/civil';
import type { Site } from '../../site/model';
import { endMinute } from '../../site/windows';
import { DAY_SEC, modulo } from './nights';

/** A nightly span in seconds after the second at which the night number changes. */
export interface NightSpan {
  from: number;
  to: number;
}

/** What a window has in common between summer and winter: the controller knows only UTC. */
export function commonSpans(site: Site, noon: number, utcSec: number): NightSpan[] {
  const { least, most } = offsetRange(site.timeZone, utcSec);
  return site.windows
    .map((window) => {
      const from = modulo(window.from * 60 - least - noon, DAY_SEC);
      const length = (endMinute(window) - window.from) * 60 - (most - least);
      return { from, to: Math.min(DAY_SEC, from + length) };
    })
    .filter((span) => span.to > span.from);
}

/** The span contained in every window if it holds the longest test, otherwise the longest window's. */
function nightlySpan(spans: NightSpan[], needSec: number): NightSpan {
  if (spans.length === 0) return { from: 0, to: 0 };
  const from = Math.max(...spans.map((span) => span.from));
  const to = Math.min(...spans.map((span) => span.to));
  if (to - from >= needSec) return { from, to };
  return spans.reduce((best, span) => (span.to - span.from > best.to - best.from ? span : best));
}

/**
 * The window of the controller's own schedule, used when its plan has run out. It lies inside the local
 * window all year, on any weekday (`spans`); `rank` of `count` circuits that share nights start apart.
 */
export function fallbackWindow(
  spans: NightSpan[],
  noon: number,
  { needSec, staggerSec }: { needSec: number; staggerSec: number },
  rank: number,
  count: number,
): { fallbackFrom: number; fallbackSec: number } {
  const span = nightlySpan(spans, needSec);
  const spare = Math.max(0, span.to - span.from - needSec);
  const step = Math.min(staggerSec, Math.floor(spare / Math.max(1, count - 1)));
  const from = span.from + rank * step;
  return { fallbackFrom: modulo(noon + from, DAY_SEC), fallbackSec: span.to - from };
}
