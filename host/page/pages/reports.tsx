// Two dates, and all results between them as a file; and labels.
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import { Labels } from '../parts/labels';
import { MakeButton, MakingEnd, useMaking } from '../parts/making';
import { useNow, usePage } from '../state/hooks';
import { t } from '../tongues/tongue';
import { lastYear, type ReportWish } from '../words/report';
import { dateIn } from '../words/time';

/** The page of reports. */
export function ReportsPage(): JSX.Element {
  const { building } = usePage();
  const [dates, setDates] = useState(lastYear(dateIn(useNow(), building?.timeZone ?? 'UTC')));
  const [paper, setPaper] = useState<ReportWish['paper']>('a4');
  const { make, ...state } = useMaking(building?.id ?? '');
  const date = (name: 'from' | 'to', label: string) => (
    <>
      <label for={`report-${name}`}>{label}</label>
      <input
        id={`report-${name}`}
        type="date"
        value={dates[name]}
        aria-describedby="report-mistake"
        onInput={(e) => setDates({ ...dates, [name]: e.currentTarget.value })}
      />
    </>
  );
  return (
    <>
      <h1>{t.frame.reports}</h1>
      <p>{t.reports.intro}</p>
      <form class="confirm" aria-label={t.reports.label} noValidate onSubmit={(e) => e.preventDefault()}>
        {date('from', t.reports.first)}
        {date('to', t.reports.last)}
        <label for="report-paper">{t.reports.paper}</label>
        <select
          id="report-paper"
          value={paper}
          onChange={(e) => setPaper(e.currentTarget.value as ReportWish['paper'])}
        >
          <option value="a4">A4</option>
          <option value="letter">{t.reports.letter}</option>
        </select>
        <MakingEnd id="report" state={state}>
          <MakeButton
            making={state.making}
            words={t.reports.makePdf}
            onMake={() => make({ ...dates, paper, format: 'pdf' })}
          />
          <button
            type="button"
            class="plain"
            disabled={state.making}
            onClick={() => make({ ...dates, paper, format: 'csv' })}
          >
            {t.reports.makeTable}
          </button>
        </MakingEnd>
      </form>
      <Labels />
    </>
  );
}
