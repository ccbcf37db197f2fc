// What the reader must know before trusting the rest: simulated, or out of date.
import type { JSX } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { placeOfPage } from '../state/base';
import { useAsked, usePage } from '../state/hooks';
import { siteNow } from '../state/pageState';
import { askNotice, isAdmitted } from '../state/session';
import { t } from '../tongues/tongue';
import { ageOf, exactTime } from '../words/time';
import { FromHost } from './fromHost';

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
      ? t.banners.lastHeard(
          exactTime(siteNow(state, state.heardMs), zone),
          ageOf((performance.now() - state.heardMs) / 1000),
        )
      : t.banners.nothingHeard;
  return (
    <p class="banner lost">
      <strong>{t.banners.lost}</strong> {t.banners.lostMore(heard)}
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
      {waiting > 0 ? <strong>{t.banners.waiting(waiting)} </strong> : null}
      {refused > 0 ? <strong>{t.banners.refused(refused)} </strong> : null}
      {problem === '' ? <a href="#/duties">{t.banners.see(pending.length)}</a> : problem}
    </p>
  );
}

function SimulatedBanner(): JSX.Element {
  return (
    <p class="banner simulated">
      <strong>{t.banners.simulated}</strong> {t.banners.simulatedMore}
    </p>
  );
}

/** The same for who has not signed in: of the building only the notice is known then. */
function SimulatedForAll(): JSX.Element | null {
  const { value } = useAsked(askNotice, 'notice', 0);
  return value?.simulated ? <SimulatedBanner /> : null;
}

/** The banners that apply now. */
export function Banners(): JSX.Element {
  const { building, linkUp, session, status } = usePage();
  const isStranger = session !== null && !isAdmitted(session) && placeOfPage() !== 'all';
  return (
    <section class="banners" aria-label={t.banners.notices}>
      <div role="alert">{linkUp ? null : <LostBanner />}</div>
      <div role="alert">
        {status?.checkpoint?.alarms.map((sentence) => (
          <p class="banner lost" key={sentence}>
            <strong>{t.banners.inDoubt}</strong> <FromHost text={sentence} />
          </p>
        ))}
      </div>
      <div role="status">{placeOfPage() === 'all' ? null : <OutboxBanner />}</div>
      {building?.simulated ? <SimulatedBanner /> : null}
      {isStranger && !building ? <SimulatedForAll /> : null}
    </section>
  );
}
