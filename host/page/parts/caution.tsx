// What this page must never be mistaken for. Shown and printed with every page but the notice for the public.
import type { JSX } from 'preact';
import { usePage } from '../state/hooks';
import { t } from '../tongues/tongue';
import { RootView } from './root';

/** The caution, with the person responsible for the lighting. */
export function Caution(): JSX.Element {
  const { building } = usePage();
  return (
    <footer>
      <ul class="cautions">
        <li>
          <strong>{t.caution.current}</strong> {t.caution.checks}
        </li>
        <li>
          <strong>{t.caution.relay}</strong> {t.caution.dead}
        </li>
      </ul>
      {building ? <p>{t.caution.who(building.responsible, building.profile, building.timeZone)}</p> : null}
      <RootView />
    </footer>
  );
}

/** Under the notice: only the root, small, so that a sheet put up anywhere is a witness too. */
export function NoticeFoot(): JSX.Element {
  return (
    <footer>
      <RootView isShort />
    </footer>
  );
}
