// The year ahead: when each circuit is tested and recharges, and the reduced cover this causes.
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import type { PlanNight } from '../../api/views';
import { capital } from '../../words/capital';
import { ExposureStrip, MonthPicture, NightMark } from '../parts/yearMonth';
import { here } from '../state/base';
import { useAsked, usePage } from '../state/hooks';
import { askPlan } from '../state/host';
import { siteNow } from '../state/pageState';
import { t } from '../tongues/tongue';
import { circuitLink } from '../words/route';
import { dateIn, dayOf } from '../words/time';
import { EXPOSURE_STEPS, exposureWord, knownAs, nightWords, type YearMonth, yearMonths } from '../words/year';

function Sample({ children }: { children: JSX.Element }): JSX.Element {
  return (
    <svg class="year-sample" viewBox="0 0 10 10" aria-hidden="true">
      {children}
    </svg>
  );
}

const MARKS = ['brief', 'full', 'limited', 'recharge'] as const satisfies PlanNight['mark'][];

function Legend(): JSX.Element {
  const [, one, four] = EXPOSURE_STEPS;
  const steps = [t.year.under(one), t.year.between(one, four), t.year.more(four)];
  return (
    <ul class="year-legend" aria-label={t.year.key}>
      {MARKS.map((mark) => (
        <li key={mark}>
          <Sample>
            <NightMark mark={mark} x={0} />
          </Sample>
          {t.year[mark]}
        </li>
      ))}
      {steps.map((word, i) => (
        <li key={word}>
          <Sample>
            <ExposureStrip step={i + 1} x={0} y={5} />
          </Sample>
          {word}
        </li>
      ))}
    </ul>
  );
}

function Nights({ month, zone }: { month: YearMonth; zone: string }): JSX.Element {
  const { building } = usePage();
  const sorted = [...month.nights].sort((a, b) => a.date.localeCompare(b.date) || a.start - b.start);
  if (sorted.length === 0) return <p>{t.year.nothing(month.title)}</p>;
  return (
    <ul class="year-list">
      {sorted.map((night) => (
        <li key={`${night.circuit} ${night.date} ${night.start}`}>
          <a href={circuitLink(night.circuit)}>{night.circuit}</a>{' '}
          <span class="quiet">{building ? knownAs(building, night.circuit) : ''}</span>
          <br />
          {capital(nightWords(night, zone))}
        </li>
      ))}
    </ul>
  );
}

function MonthChoice(p: { months: YearMonth[]; at: number; choose: (at: number) => void }): JSX.Element {
  const step = (by: number, word: string, label: string) => (
    <button
      type="button"
      disabled={!p.months[p.at + by]}
      onClick={() => p.choose(p.at + by)}
      aria-label={label}
    >
      {word}
    </button>
  );
  return (
    <div class="filters">
      {step(-1, t.year.previous, t.year.previousMonth)}
      <label for="month">{t.year.month}</label>
      <select id="month" value={p.at} onChange={(event) => p.choose(Number(event.currentTarget.value))}>
        {p.months.map((month, i) => (
          <option key={month.key} value={i}>
            {month.title}
          </option>
        ))}
      </select>
      {step(1, t.year.next, t.year.nextMonth)}
    </div>
  );
}

/** Twelve months from the present one. */
export function YearPage(): JSX.Element {
  const state = usePage();
  const [at, choose] = useState(0);
  const { value, problem } = useAsked(askPlan, 'plan', 0);
  const zone = state.building?.timeZone ?? 'UTC';
  if (!value)
    return (
      <>
        <h1>{t.frame.year}</h1>
        {problem === '' ? <p>{t.frame.loading}</p> : <p role="alert">{problem}</p>}
      </>
    );
  const months = yearMonths(value, dateIn(siteNow(state, performance.now()), zone));
  return (
    <>
      <h1>{t.frame.year}</h1>
      <p class="tally">{t.year.plannedTo(dayOf(value.until, zone), exposureWord(value.exposureHours))}</p>
      <p class="to-print">
        <a href={here('/calendar.ics')}>{t.year.calendar}</a>
        {t.year.calendarMore} {state.session?.asked ? t.year.calendarToken : null}
      </p>
      <Legend />
      <p class="facts">{t.year.facts}</p>
      <MonthChoice months={months} at={at} choose={choose} />
      <h2 class="unseen">{t.year.byMonth}</h2>
      <div class="year">
        {months.map((month, i) => (
          <MonthPicture
            key={month.key}
            month={month}
            circuits={state.building?.circuits ?? []}
            chosen={i === at}
          />
        ))}
      </div>
      <h2>{t.year.byNight(months[at].title)}</h2>
      <Nights month={months[at]} zone={zone} />
    </>
  );
}
