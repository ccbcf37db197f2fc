// Lamp currents of a running test as one small picture, drawn over the full length of the test.
import type { JSX } from 'preact';
import type { VerdictWord } from '../../api/views';
import type { Luminaire } from '../../site/model';
import type { Trace } from '../state/trace';
import { t } from '../tongues/tongue';

const WIDTH = 600;
const HEIGHT = 120;
const TOP_PERCENT = 125;

function height(percent: number): number {
  const p = Math.min(Math.max(percent, 0), TOP_PERCENT);
  return HEIGHT - (p / TOP_PERCENT) * HEIGHT;
}

function pathOf(trace: Trace, lamp: number, full: number, length: number): string {
  return trace.t
    .map((sec, i) => {
      const x = Math.min(sec / length, 1) * WIDTH;
      const y = height(((trace.ma[i][lamp] ?? 0) / full) * 100);
      return `${i === 0 ? 'M' : 'L'}${x.toFixed(1)} ${y.toFixed(1)}`;
    })
    .join('');
}

interface Props {
  trace: Trace;
  luminaires: Luminaire[];
  verdicts: VerdictWord[];
  /** Length of the test, s. */
  length: number;
  /** Lowest value that counts as lit, % of the commissioned current. */
  floorPercent: number;
}

/** One line per luminaire, % of its commissioned current; a failed one is thick and dashed. */
export function LiveCurve({ trace, luminaires, verdicts, length, floorPercent }: Props): JSX.Element {
  const span = Math.max(length, trace.t[trace.t.length - 1] ?? 1, 1);
  const failed = verdicts.filter((v) => v === 'fail').length;
  const label = t.running.curve(luminaires.length, failed);
  return (
    <figure class="live-curve">
      <svg viewBox={`0 0 ${WIDTH} ${HEIGHT}`} preserveAspectRatio="none" role="img" aria-label={label}>
        <line x1="0" x2={WIDTH} y1={height(100)} y2={height(100)} class="hundred" />
        <line x1="0" x2={WIDTH} y1={height(floorPercent)} y2={height(floorPercent)} class="floor" />
        {luminaires.map((l, i) => (
          <path
            key={l.id}
            d={pathOf(trace, i, l.batteryMilliamps, span)}
            class={verdicts[i] === 'fail' ? 'failed' : 'alive'}
          />
        ))}
      </svg>
      <figcaption>{t.running.caption(floorPercent)}</figcaption>
    </figure>
  );
}
