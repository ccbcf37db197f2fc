// One month of the plan: a row per circuit, a cell per night, and below each cell how much exposure falls
// into it.
import type { JSX } from 'preact';
import type { PlanNight } from '../../api/views';
import type { Circuit } from '../../site/model';
import { usePage } from '../state/hooks';
import { areasOf, dayOfMonth, exposureStep, rowWords, type YearMonth } from '../words/year';

/** Units of the drawing: width of a night, height of its mark and of the strip below. */
const NIGHT = 10;
const MARK = 10;
const STRIP = 4;
const HEIGHT = MARK + STRIP + 1;
/** Days of the longest month: cells have the same width in every month. */
const PLACES = 31;
const NUMBERED = [1, 8, 15, 22, 29];

/** The mark of a night in a 10 by 10 cell; each kind has its own shape. */
export function NightMark({ mark, x }: { mark: PlanNight['mark']; x: number }): JSX.Element {
  if (mark === 'brief') return <circle class="year-line" cx={x + 5} cy={5} r={2.6} />;
  if (mark === 'recharge') return <path class="year-line" d={`M${x} 5h10`} />;
  if (mark === 'full') return <rect class="year-solid" x={x + 1.5} y={1.5} width={7} height={7} />;
  return <path class="year-half" d={`M${x + 1.5} 8.5v-7h7z`} />;
}

/** Exposure as a strip: taller and darker as it grows. */
export function ExposureStrip({ step, x, y }: { step: number; x: number; y: number }): JSX.Element {
  const height = (STRIP * step) / 3;
  return <rect class={`exposure-${step}`} x={x} y={y + STRIP - height} width={NIGHT} height={height} />;
}

function Weekends({ month, height }: { month: YearMonth; height: number }): JSX.Element {
  return (
    <>
      {month.weekend.map((day) => (
        <rect class="year-weekend" key={day} x={(day - 1) * NIGHT} y={0} width={NIGHT} height={height} />
      ))}
    </>
  );
}

function Days({ month }: { month: YearMonth }): JSX.Element {
  return (
    <div class="year-row" aria-hidden="true">
      <span class="year-label" />
      <svg class="year-nights" viewBox={`0 0 ${PLACES * NIGHT} 10`} aria-hidden="true">
        {NUMBERED.filter((day) => day <= month.days).map((day) => (
          <text key={day} x={(day - 0.5) * NIGHT} y={8.5}>
            {day}
          </text>
        ))}
      </svg>
    </div>
  );
}

function Row({ month, circuit }: { month: YearMonth; circuit: Circuit }): JSX.Element {
  const { building } = usePage();
  const areas = building ? areasOf(building, circuit.id) : '';
  const nights = month.nights.filter((night) => night.circuit === circuit.id);
  const hours = new Map<number, number>();
  for (const { date, exposureHours } of nights)
    hours.set(dayOfMonth(date), (hours.get(dayOfMonth(date)) ?? 0) + exposureHours);
  return (
    <div class="year-row">
      <span class="year-label" aria-hidden="true">
        {circuit.id} <small>{areas}</small>
      </span>
      <svg
        class="year-nights"
        viewBox={`0 0 ${PLACES * NIGHT} ${HEIGHT}`}
        role="img"
        aria-label={rowWords(`${circuit.id}, ${areas}`, nights)}
      >
        <Weekends month={month} height={HEIGHT} />
        <path class="year-base" d={`M0 ${HEIGHT - 0.5}h${month.days * NIGHT}`} />
        {[...hours].map(([day, sum]) => (
          <ExposureStrip key={day} step={exposureStep(sum)} x={(day - 1) * NIGHT} y={MARK + 0.5} />
        ))}
        {nights.map(({ date, mark, start }) => (
          <NightMark key={`${date} ${start}`} mark={mark} x={(dayOfMonth(date) - 1) * NIGHT} />
        ))}
      </svg>
    </div>
  );
}

/** The month as a picture; on a narrow screen only the `chosen` one is shown. */
export function MonthPicture(p: { month: YearMonth; circuits: Circuit[]; chosen: boolean }): JSX.Element {
  return (
    <section class={`year-month${p.chosen ? ' chosen' : ''}`} aria-label={p.month.title}>
      <h3>{p.month.title}</h3>
      <Days month={p.month} />
      {p.circuits.map((circuit) => (
        <Row key={circuit.id} month={p.month} circuit={circuit} />
      ))}
    </section>
  );
}
