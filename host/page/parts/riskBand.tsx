// Where batteries are not full, until when, and what to do if the power fails.
import type { JSX } from 'preact';
import type { RiskEntry, RiskNotice } from '../../api/views';
import { t } from '../tongues/tongue';
import type { Tone } from '../words/tone';
import { FromHost } from './fromHost';
import { Mark } from './mark';

const TONES: Record<RiskEntry['state'], Tone> = { discharging: 'busy', recharging: 'busy', planned: 'idle' };

/** What the notice covers: the present, or only tonight. Nothing is said of circuits that are not heard. */
function riskTitle({ entries, unknown }: RiskNotice): string {
  if (entries.length === 0 && unknown.length > 0) return t.risk.notKnown;
  if (entries.length === 0) return t.risk.nothing;
  return entries.every(({ state }) => state === 'planned') ? t.risk.tonight : t.risk.now;
}

/** The entries in words, and what to do. */
function RiskText({ notice }: { notice: RiskNotice }): JSX.Element {
  return (
    <>
      <ul class="risks">
        {notice.entries.map((entry) => (
          <li key={`${entry.circuit} ${entry.state}`}>
            <Mark tone={TONES[entry.state]} word={t.risk[entry.state]} />
            <span>
              <FromHost text={entry.sentence} />
            </span>
          </li>
        ))}
      </ul>
      <p class="if-fails">
        <strong>
          <FromHost text={notice.ifPowerFails} />
        </strong>
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
        <a href="#/notice">{t.risk.toPrint}</a>
      </p>
    </section>
  );
}
