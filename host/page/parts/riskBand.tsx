// Where batteries are not full, until when, and what to do if the power fails.
import type { JSX } from 'preact';
import type { RiskEntry, RiskNotice } from '../../api/views';
import type { Tone } from '../words/tone';
import { Mark } from './mark';

const STATES: Record<RiskEntry['state'], { word: string; tone: Tone }> = {
  discharging: { word: 'On battery', tone: 'busy' },
  recharging: { word: 'Recharging', tone: 'busy' },
  planned: { word: 'Planned', tone: 'idle' },
};

/** What the notice covers: the present, or only tonight. Nothing is said of circuits that are not heard. */
export function riskTitle({ entries, unknown }: RiskNotice): string {
  if (entries.length === 0 && unknown.length > 0) return 'Not known whether all batteries are full';
  if (entries.length === 0) return 'No batteries are discharging or recharging';
  return entries.every(({ state }) => state === 'planned')
    ? 'Batteries will not be full tonight'
    : 'Batteries not full';
}

/** The entries in words, and what to do. */
export function RiskText({ notice }: { notice: RiskNotice }): JSX.Element {
  return (
    <>
      <ul class="risks">
        {notice.entries.map((entry) => (
          <li key={`${entry.circuit} ${entry.state}`}>
            <Mark {...STATES[entry.state]} />
            <span>{entry.sentence}</span>
          </li>
        ))}
      </ul>
      <p class="if-fails">
        <strong>{notice.ifPowerFails}</strong>
      </p>
    </>
  );
}

/** The band at the top of Tonight; empty if there is nothing to report. */
export function RiskBand({ notice }: { notice: RiskNotice }): JSX.Element | null {
  if (notice.entries.length === 0) return null;
  return (
    <section class="risk-band" aria-labelledby="risk">
      <h2 id="risk">{riskTitle(notice)}</h2>
      <RiskText notice={notice} />
      <p class="to-print">
        <a href="#/notice">Notice to print and put up</a>
      </p>
    </section>
  );
}
