// The frame: navigation, banners, the page for the address, and the caution under every page.
import type { JSX } from 'preact';
import { useEffect, useRef } from 'preact/hooks';
import { AccountPage } from './pages/account';
import { AccountsPage } from './pages/accounts';
import { CircuitPage } from './pages/circuit';
import { DefectsPage } from './pages/defects';
import { DutiesPage } from './pages/duties';
import { DutyPage } from './pages/duty';
import { FloorPage } from './pages/floor';
import { LogPage } from './pages/log';
import { LuminairePage } from './pages/luminaire';
import { NoticePage, PublicNotice } from './pages/notice';
import { ReportsPage } from './pages/reports';
import { SignInPage } from './pages/signIn';
import { SiteFormPage, SitePage } from './pages/site';
import { TonightPage } from './pages/tonight';
import { YearPage } from './pages/year';
import { Banners } from './parts/banners';
import { Caution, NoticeFoot } from './parts/caution';
import { PersonLink } from './parts/personLink';
import { SiteClockView } from './parts/siteClock';
import { TongueField } from './parts/tongueField';
import { placeOfPage } from './state/base';
import { useDuties, usePage, useRoute } from './state/hooks';
import { isRunningHere } from './state/pageState';
import { isAdmitted } from './state/session';
import { t } from './tongues/tongue';
import { type Route, siteLink } from './words/route';
import { formTitle } from './words/site';

function Page({ route }: { route: Route }): JSX.Element {
  if (route.page === 'tonight') return <TonightPage />;
  if (route.page === 'defects') return <DefectsPage />;
  if (route.page === 'year') return <YearPage />;
  if (route.page === 'notice') return <NoticePage />;
  if (route.page === 'circuit') return <CircuitPage id={route.id} />;
  if (route.page === 'luminaire') return <LuminairePage id={route.id} />;
  if (route.page === 'duties') return <DutiesPage />;
  if (route.page === 'reports') return <ReportsPage />;
  if (route.page === 'account') return <AccountPage />;
  if (route.page === 'accounts') return <AccountsPage />;
  if (route.page === 'duty') return <DutyPage key={route.id} id={route.id} />;
  if (route.page === 'floor') return <FloorPage id={route.id} luminaire={route.luminaire} />;
  if (route.page === 'site') return <SitePage />;
  if (route.page === 'siteForm') return <SiteFormPage key={siteLink(route.place)} place={route.place} />;
  if (route.page === 'log') return <LogPage circuit={route.circuit} kind={route.kind} />;
  return (
    <>
      <h1>{t.frame.notFound}</h1>
      <p>
        <a href="#/">{t.frame.goHome}</a>
      </p>
    </>
  );
}

/** The same for the log book whatever it shows, and for every page in any language. */
function placeOf(route: Route): string {
  if (route.page === 'siteForm') return siteLink(route.place);
  return 'id' in route ? `${route.page} ${route.id}` : route.page;
}

function titleOf(route: Route): string {
  if (route.page === 'circuit') return t.frame.circuit(route.id);
  if (route.page === 'luminaire') return t.frame.luminaire(route.id);
  if (route.page === 'duty') return t.frame.duty(route.id);
  if (route.page === 'floor') return `${t.floor.title} ${route.id}`.trim();
  if (route.page === 'siteForm') return formTitle(route.place);
  return route.page === 'unknown' ? t.frame.tonight : t.frame[route.page];
}

function Navigation({ route }: { route: Route }): JSX.Element {
  const { duties } = usePage();
  useDuties();
  const overdue = duties?.duties.filter(({ state }) => state === 'overdue').length ?? 0;
  const here = route.page === 'siteForm' ? 'site' : route.page;
  const current = (page: Route['page']) => (here === page ? ('page' as const) : undefined);
  return (
    <nav aria-label={t.frame.pages}>
      <a href="#/" aria-current={current('tonight')}>
        {t.frame.tonight}
      </a>
      <a href="#/defects" aria-current={current('defects')}>
        {t.frame.defects}
      </a>
      <a href="#/year" aria-current={current('year')}>
        {t.frame.year}
      </a>
      <a href="#/duties" aria-current={current('duties')}>
        {t.frame.duties}
        {overdue > 0 ? (
          <span class="count">
            {overdue}
            <span class="unseen"> {t.frame.overdue}</span>
          </span>
        ) : null}
      </a>
      <a href="#/log" aria-current={current('log')}>
        {t.frame.log}
      </a>
      <a href="#/reports" aria-current={current('reports')}>
        {t.frame.reports}
      </a>
      <a href="#/site" aria-current={current('site')}>
        {t.frame.site}
      </a>
    </nav>
  );
}

/** Where running tests are shown. */
const PAGES_WITH_TESTS: Route['page'][] = ['tonight', 'circuit'];

/** The whole page. */
export function App(): JSX.Element {
  const state = usePage();
  const route = useRoute();
  const main = useRef<HTMLElement>(null);
  const first = useRef(true);
  const title = titleOf(route);
  const place = placeOf(route);
  // Only what is needed above the button that restores the supply.
  const isBrief =
    state.status?.controllers.some((one) => isRunningHere(state, one, performance.now())) &&
    PAGES_WITH_TESTS.includes(route.page);
  useEffect(() => {
    document.title = `${title} – ${state.building?.name ?? 'Nightproof'}`;
  }, [title, state.building]);
  // A new page: scroll to the top.
  useEffect(() => {
    if (!first.current) {
      scrollTo(0, 0);
      main.current?.focus({ preventScroll: true });
    }
    first.current = false;
  }, [place]);
  return (
    <>
      <button type="button" class="skip" onClick={() => main.current?.focus()}>
        {t.frame.skip}
      </button>
      <header class={isBrief ? 'top testing' : 'top'}>
        <div class="top-row">
          {placeOfPage() === 'one' ? (
            <p class="up">
              <a href="/">{t.buildings.all}</a>
            </p>
          ) : null}
          <p class="site">
            <strong>{state.building?.name ?? 'Nightproof'}</strong>
            <span class="quiet"> {t.frame.emergencyLighting}</span>
          </p>
          {isAdmitted(state.session) ? <Navigation route={route} /> : null}
          <TongueField />
          <PersonLink />
          {route.page === 'notice' ? null : <SiteClockView />}
        </div>
      </header>
      <Banners />
      <main ref={main} tabIndex={-1} key={place}>
        <Content route={route} />
      </main>
      {route.page === 'notice' ? <NoticeFoot /> : <Caution />}
    </>
  );
}

/** The page for the address, or what has to come before it. */
function Content({ route }: { route: Route }): JSX.Element {
  const { session, status, problem } = usePage();
  if (session && !isAdmitted(session)) return route.page === 'notice' ? <PublicNotice /> : <SignInPage />;
  return status ? <Page route={route} /> : <Waiting problem={problem} />;
}

function Waiting({ problem }: { problem: string }): JSX.Element {
  return (
    <>
      <h1>{problem === '' ? t.frame.loading : t.frame.nothingYet}</h1>
      {problem === '' ? null : (
        <p role="alert">
          {problem} {t.frame.stillTrying}
        </p>
      )}
    </>
  );
}
