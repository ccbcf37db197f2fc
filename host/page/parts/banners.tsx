// What the reader must know before trusting the rest: simulated, or out of date.
import type { JSX } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { usePage } from '../state/hooks';
import { siteNow } from '../state/pageState';
import { waitingWords } from '../words/duties';
import { ageOf, exactTime } from '../words/time';

function LostBanner(): JSX.Element {
  const state = usePage();
  const [, redraw] = useState(0);
  useEffect(() => {
    const timer = setInterval(() => redraw((n) => n + 1), 1000);
    return () => clearInterval(timer);
  }, []);
  const zone = state.building?.timeZone ?? 'UTC';
  const heard =
    state.clock && state.heardMs > 0
      ? `last heard ${exactTime(siteNow(state, state.heardMs), zone)} (${ageOf((performance.now() - state.heardMs) / 1000)})`
      : 'nothing heard yet';
  return (
    <p class="banner lost">
      <strong>Connection lost,</strong> {heard}. What you see may be out of date. Still trying to reconnect.
    </p>
  );
}

/** What was entered on this device and is not in the log book. */
function OutboxBanner(): JSX.Element | null {
  const { pending, problem } = usePage().outbox;
  const refused = pending.filter((one) => one.refused !== '').length;
  const waiting = pending.length - refused;
  if (pending.length === 0 && problem === '') return null;
  return (
    <p class="banner waiting">
      {waiting > 0 ? <strong>{waitingWords(waiting)} </strong> : null}
      {refused > 0 ? (
        <strong>{refused === 1 ? '1 entry was' : `${refused} entries were`} refused. </strong>
      ) : null}
      {problem === '' ? <a href="#/duties">See {pending.length === 1 ? 'it' : 'them'}</a> : problem}
    </p>
  );
}

/** The banners that apply now. */
export function Banners(): JSX.Element {
  const { building, linkUp, status } = usePage();
  return (
    <section class="banners" aria-label="Notices">
      <div role="alert">{linkUp ? null : <LostBanner />}</div>
      <div role="alert">
        {status?.checkpoint?.alarms.map((sentence) => (
          <p class="banner lost" key={sentence}>
            <strong>The log book is in doubt.</strong> {sentence}
          </p>
        ))}
      </div>
      <div role="status">
        <OutboxBanner />
      </div>
      {building?.simulated ? (
        <p class="banner simulated">
          <strong>Simulated controllers.</strong> No real luminaire is being tested.
        </p>
      ) : null}
    </section>
  );
}
