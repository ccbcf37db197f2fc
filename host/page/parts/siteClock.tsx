// The site's clock, and how fast it runs in a simulation.
import type { JSX } from 'preact';
import { useNow, usePage } from '../state/hooks';
import { t } from '../tongues/tongue';
import { dayOf, exactTime } from '../words/time';

/** Day and time at the site. */
export function SiteClockView(): JSX.Element | null {
  const { building, clock } = usePage();
  const now = useNow();
  if (!building || !clock) return null;
  return (
    <p class="clock">
      <span class="clock-time">{exactTime(now, building.timeZone)}</span>{' '}
      <span class="quiet">
        {dayOf(now, building.timeZone)}
        {clock.speed > 1 ? t.frame.fast(Math.round(clock.speed)) : ''}
      </span>
    </p>
  );
}
