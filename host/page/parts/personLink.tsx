// The way to one's own account.
import type { JSX } from 'preact';
import { usePage } from '../state/hooks';
import { t } from '../tongues/tongue';

/** Who is signed in, and the way to sign out. */
export function PersonLink(): JSX.Element | null {
  const person = usePage().session?.person;
  return person ? (
    <p class="person">
      <a href="#/account">
        <span class="unseen">{t.frame.account}: </span>
        {person.name}
      </a>
    </p>
  ) : null;
}
