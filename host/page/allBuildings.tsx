// The frame of the overview of several buildings: accounts are for all of them, everything else is below each.
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { AccountPage } from './pages/account';
import { AccountsPage } from './pages/accounts';
import { BuildingsPage } from './pages/buildings';
import { SignInPage } from './pages/signIn';
import { Banners } from './parts/banners';
import { Caution } from './parts/caution';
import { PersonLink } from './parts/personLink';
import { TongueField } from './parts/tongueField';
import { usePage, useRoute } from './state/hooks';
import { isAdmitted } from './state/session';
import { t } from './tongues/tongue';
import type { Route } from './words/route';

function Content({ page }: { page: Route['page'] }): JSX.Element {
  const { session, problem } = usePage();
  if (session && !isAdmitted(session)) return <SignInPage />;
  // Until it is known who asks, no page is asked for.
  if (!session) return <BuildingsPage />;
  if (page === 'account') return <AccountPage />;
  if (page === 'accounts') return <AccountsPage />;
  return (
    <>
      <BuildingsPage />
      {problem === '' ? null : <p role="alert">{problem}</p>}
    </>
  );
}

/** The whole page. */
export function AllBuildings(): JSX.Element {
  const { session } = usePage();
  const { page } = useRoute();
  const main = useRef<HTMLElement>(null);
  const title = page === 'account' || page === 'accounts' ? t.frame[page] : t.buildings.all;
  useEffect(() => {
    document.title = `${title} – Nightproof`;
  }, [title]);
  return (
    <>
      <button type="button" class="skip" onClick={() => main.current?.focus()}>
        {t.frame.skip}
      </button>
      <header class="top">
        <div class="top-row">
          <p class="site">
            <strong>Nightproof</strong>
            <span class="quiet"> {t.frame.emergencyLighting}</span>
          </p>
          {isAdmitted(session) ? (
            <nav aria-label={t.frame.pages}>
              <a href="#/" aria-current={page === 'tonight' ? 'page' : undefined}>
                {t.buildings.all}
              </a>
            </nav>
          ) : null}
          <TongueField />
          <PersonLink />
        </div>
      </header>
      <Banners />
      <main ref={main} tabIndex={-1} key={page}>
        <Content page={page} />
      </main>
      <Caution />
    </>
  );
}
