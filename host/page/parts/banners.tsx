// What the reader must know before trusting the rest: simulated, or out of date.
import type { JSX } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { usePage } from '../state/hooks';
import { siteNow } from '../state/pageState';
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
      {building?.simulated ? (
        <p class="banner simulated">
          <strong>Simulated controllers.</strong> No real luminaire is being tested.
        </p>
      ) : null}
    </section>
  );
}
