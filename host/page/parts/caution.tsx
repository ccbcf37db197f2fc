// What this page must never be mistaken for. Shown and printed with every page but the notice for the public.
import type { JSX } from 'preact';
import { usePage } from '../state/hooks';
import { RootView } from './root';

/** The caution, with the person responsible for the lighting. */
export function Caution(): JSX.Element {
  const { building } = usePage();
  return (
    <footer>
      <ul class="cautions">
        <li>
          <strong>Lamp current is evidence that a lamp is lit, not a measurement of light.</strong> Visual and
          photometric checks are still required.
        </li>
        <li>
          <strong>Relay open is not isolation.</strong> Prove dead before work.
        </li>
      </ul>
      {building ? (
        <p>
          Responsible for the emergency lighting: {building.responsible}. Rules: {building.profile}. Times:{' '}
          {building.timeZone}.
        </p>
      ) : null}
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
