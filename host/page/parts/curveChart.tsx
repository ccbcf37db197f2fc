// Discharge curves of several years, overlaid.
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import uPlot from 'uplot';
import { t } from '../tongues/tongue';
import { curveColumns, type StoredCurve } from '../words/curves';

/** Dashes tell the years apart without colour; the newest is solid and thick. */
const DASHES: number[][] = [[], [10, 5], [3, 4], [12, 4, 3, 4]];
const HEIGHT = 340;

/** Dash pattern of the curve at `index`, newest first, for the key beside the chart. */
export function dashOf(index: number): string {
  return DASHES[index % DASHES.length].join(' ');
}

function colours(element: Element): Record<string, string> {
  const style = getComputedStyle(element);
  const read = (name: string) => style.getPropertyValue(name).trim();
  return { ink: read('--ink'), quiet: read('--quiet'), grid: read('--line'), fault: read('--fault') };
}

function ratedMark(ratedMinutes: number, colour: string): uPlot.Plugin {
  return {
    hooks: {
      draw: (u) => {
        const x = Math.round(u.valToPos(ratedMinutes, 'x', true));
        const { top, height } = u.bbox;
        u.ctx.save();
        u.ctx.strokeStyle = colour;
        u.ctx.fillStyle = colour;
        u.ctx.setLineDash([]);
        u.ctx.lineWidth = 2 * devicePixelRatio;
        u.ctx.beginPath();
        u.ctx.moveTo(x, top);
        u.ctx.lineTo(x, top + height);
        u.ctx.stroke();
        u.ctx.font = `${13 * devicePixelRatio}px system-ui, sans-serif`;
        u.ctx.textAlign = 'right';
        u.ctx.fillText(
          t.luminaire.rated(Math.round(ratedMinutes)),
          x - 6 * devicePixelRatio,
          top + 16 * devicePixelRatio,
        );
        u.ctx.restore();
      },
    },
  };
}

function optionsFor(host: HTMLElement, curves: StoredCurve[], ratedMinutes: number): uPlot.Options {
  const c = colours(host);
  const font = '14px system-ui, sans-serif';
  const axis = {
    stroke: c.ink,
    font,
    labelFont: font,
    grid: { stroke: c.grid, width: 1 },
    ticks: { stroke: c.grid },
  };
  const lines = curves.map(
    (_, i): uPlot.Series => ({
      stroke: i === 0 ? c.ink : c.quiet,
      width: i === 0 ? 3 : 2,
      dash: DASHES[i % DASHES.length],
      spanGaps: true,
      points: { show: false },
    }),
  );
  const floor: uPlot.Series = { stroke: c.fault, width: 2, dash: [6, 6], points: { show: false } };
  const last = Math.max(ratedMinutes * 1.05, ...curves.map((k) => ((k.percent.length - 1) * k.step) / 60));
  return {
    width: host.clientWidth,
    height: HEIGHT,
    legend: { show: false },
    cursor: { show: false },
    scales: { x: { time: false, range: [0, last] }, y: { range: [0, 130] } },
    axes: [
      { ...axis, label: t.luminaire.minutes },
      { ...axis, label: t.luminaire.percent, size: 54 },
    ],
    series: [{}, ...lines, floor],
    plugins: [ratedMark(ratedMinutes, c.ink)],
  };
}

interface Props {
  curves: StoredCurve[];
  ratedMinutes: number;
  /** Lowest value that counts as lit, % of the commissioned current. */
  floorPercent: number;
  label: string;
}

/** The chart; redrawn when its width or the colour scheme changes. */
export function CurveChart({ curves, ratedMinutes, floorPercent, label }: Props): JSX.Element {
  const host = useRef<HTMLDivElement>(null);
  // The lists are new objects at every render; only different content makes a different chart.
  const content = JSON.stringify([curves, ratedMinutes, floorPercent, t.lang]);
  useEffect(() => {
    const element = host.current;
    if (!element) return;
    const { minutes, columns } = curveColumns(curves);
    const data = [minutes, ...columns, minutes.map(() => floorPercent)] as uPlot.AlignedData;
    let plot: uPlot | null = null;
    const draw = () => {
      plot?.destroy();
      plot = new uPlot(optionsFor(element, curves, ratedMinutes), data, element);
    };
    const scheme = matchMedia('(prefers-color-scheme: dark)');
    const resized = new ResizeObserver(() => plot?.setSize({ width: element.clientWidth, height: HEIGHT }));
    draw();
    scheme.addEventListener('change', draw);
    resized.observe(element);
    return () => {
      scheme.removeEventListener('change', draw);
      resized.disconnect();
      plot?.destroy();
    };
  }, [content]);
  return <div class="chart" ref={host} role="img" aria-label={label} />;
}
