// The year ahead: when each circuit is tested and recharges, and the reduced cover this causes.
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import type { PlanNight } from '../../api/views';
import { ExposureStrip, MonthPicture, NightMark } from '../parts/yearMonth';
import { useAsked, usePage } from '../state/hooks';
import { askPlan } from '../state/host';
import { siteNow } from '../state/pageState';
import { circuitLink } from '../words/route';
import { dateIn, dayOf } from '../words/time';
import { EXPOSURE_STEPS, exposureWord, nightWords, type YearMonth, yearMonths } from '../words/year';

function Sample({ children }: { children: JSX.Element }): JSX.Element {
  return (
    <svg class="year-sample" viewBox="0 0 10 10" aria-hidden="true">
      {children}
    </svg>
  );
}

const MARKS: [PlanNight['mark'], string][] = [
  ['brief', 'Function test'],
  ['full', 'Duration test'],
  ['limited', 'Limited duration test (2/3, not the full duration)'],
  ['recharge', 'Still recharging next day'],
];

function Legend(): JSX.Element {
  const [, one, four] = EXPOSURE_STEPS;
  const steps = [`under ${one} h`, `${one} to ${four} h`, `${four} h or more`];
  return (
    <ul class="year-legend" aria-label="Key">
      {MARKS.map(([mark, word]) => (
        <li key={mark}>
          <Sample>
            <NightMark mark={mark} x={0} />
          </Sample>
          {word}
        </li>
      ))}
      {steps.map((word, i) => (
        <li key={word}>
          <Sample>
            <ExposureStrip step={i + 1} x={0} y={5} />
          </Sample>
          Exposure {word}
        </li>
      ))}
    </ul>
  );
}

function Nights({ month, zone }: { month: YearMonth; zone: string }): JSX.Element {
  const sorted = [...month.nights].sort((a, b) => a.date.localeCompare(b.date) || a.start - b.start);
  if (sorted.length === 0) return <p>Nothing is planned in {month.title}.</p>;
  return (
    <ul class="year-list">
      {sorted.map((night) => (
        <li key={`${night.circuit} ${night.date} ${night.start}`}>
          <a href={circuitLink(night.circuit)}>{night.circuit}</a>: {nightWords(night, zone)}
        </li>
      ))}
    </ul>
  );
}

function MonthChoice(p: { months: YearMonth[]; at: number; choose: (at: number) => void }): JSX.Element {
  const step = (by: number, word: string) => (
    <button
      type="button"
      disabled={!p.months[p.at + by]}
      onClick={() => p.choose(p.at + by)}
      aria-label={`${word} month`}
    >
      {word}
    </button>
  );
  return (
    <div class="filters">
      {step(-1, 'Previous')}
      <label for="month">Month</label>
      <select id="month" value={p.at} onChange={(event) => p.choose(Number(event.currentTarget.value))}>
        {p.months.map((month, i) => (
          <option key={month.key} value={i}>
            {month.title}
          </option>
        ))}
      </select>
      {step(1, 'Next')}
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
        <h1>Year</h1>
        {problem === '' ? <p>Loading…</p> : <p role="alert">{problem}</p>}
      </>
    );
  const months = yearMonths(value, dateIn(siteNow(state, performance.now()), zone));
  return (
    <>
      <h1>Year</h1>
      <p class="tally">
        Planned up to {dayOf(value.until, zone)}. Exposure {exposureWord(value.exposureHours)}: hours when
        people are in an area, times the share of its luminaires that are not ready.
      </p>
      <p class="to-print">
        <a href="/calendar.ics">Calendar of the plan</a>: add this link to a calendar app to subscribe.
      </p>
      <Legend />
      <p class="facts">
        A night runs from noon to noon and is shown under the day it starts. Each test is shown at its first
        chance; if it cannot run then, it moves to a later night.
      </p>
      <MonthChoice months={months} at={at} choose={choose} />
      <h2 class="unseen">Month by month</h2>
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
      <h2>{months[at].title}, night by night</h2>
      <Nights month={months[at]} zone={zone} />
    </>
  );
}
