// The frame: navigation, banners, the page for the address, and the caution under every page.
import type { JSX } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import { CircuitPage } from './pages/circuit';
import { DefectsPage } from './pages/defects';
import { DutiesPage } from './pages/duties';
import { DutyPage } from './pages/duty';
import { FloorPage } from './pages/floor';
import { LogPage } from './pages/log';
import { LuminairePage } from './pages/luminaire';
import { NoticePage } from './pages/notice';
import { ReportsPage } from './pages/reports';
import { TonightPage } from './pages/tonight';
import { YearPage } from './pages/year';
import { Banners } from './parts/banners';
import { Caution, NoticeFoot } from './parts/caution';
import { SiteClockView } from './parts/siteClock';
import { useDuties, usePage } from './state/hooks';
import { parseRoute, type Route } from './words/route';

function useRoute(): Route {
  const [hash, setHash] = useState(location.hash);
  useEffect(() => {
    const follow = () => setHash(location.hash);
    addEventListener('hashchange', follow);
    return () => removeEventListener('hashchange', follow);
  }, []);
  return parseRoute(hash);
}

function Page({ route }: { route: Route }): JSX.Element {
  if (route.page === 'tonight') return <TonightPage />;
  if (route.page === 'defects') return <DefectsPage />;
  if (route.page === 'year') return <YearPage />;
  if (route.page === 'notice') return <NoticePage />;
  if (route.page === 'circuit') return <CircuitPage id={route.id} />;
  if (route.page === 'luminaire') return <LuminairePage id={route.id} />;
  if (route.page === 'duties') return <DutiesPage />;
  if (route.page === 'reports') return <ReportsPage />;
  if (route.page === 'duty') return <DutyPage key={route.id} id={route.id} />;
  if (route.page === 'floor') return <FloorPage id={route.id} luminaire={route.luminaire} />;
  if (route.page === 'log') return <LogPage circuit={route.circuit} kind={route.kind} />;
  return (
    <>
      <h1>Page not found</h1>
      <p>
        Go to <a href="#/">Tonight</a>.
      </p>
    </>
  );
}

const TITLES: Partial<Record<Route['page'], string>> = {
  defects: 'Defects',
  log: 'Log book',
  year: 'Year',
  notice: 'Notice',
  duties: 'Duties',
  reports: 'Reports',
};

function titleOf(route: Route): string {
  if (route.page === 'circuit') return `Circuit ${route.id}`;
  if (route.page === 'luminaire') return `Luminaire ${route.id}`;
  if (route.page === 'duty') return `Duty ${route.id}`;
  if (route.page === 'floor') return `Floor plan ${route.id}`.trim();
  return TITLES[route.page] ?? 'Tonight';
}

function Navigation({ route }: { route: Route }): JSX.Element {
  const { duties } = usePage();
  useDuties();
  const overdue = duties?.duties.filter(({ state }) => state === 'overdue').length ?? 0;
  const current = (page: Route['page']) => (route.page === page ? ('page' as const) : undefined);
  return (
    <nav aria-label="Pages">
      <a href="#/" aria-current={current('tonight')}>
        Tonight
      </a>
      <a href="#/defects" aria-current={current('defects')}>
        Defects
      </a>
      <a href="#/year" aria-current={current('year')}>
        Year
      </a>
      <a href="#/duties" aria-current={current('duties')}>
        Duties
        {overdue > 0 ? (
          <span class="count">
            {overdue}
            <span class="unseen"> overdue</span>
          </span>
        ) : null}
      </a>
      <a href="#/log" aria-current={current('log')}>
        Log book
      </a>
      <a href="#/reports" aria-current={current('reports')}>
        Reports
      </a>
    </nav>
  );
}

/** The whole page. */
export function App(): JSX.Element {
  const state = usePage();
  const route = useRoute();
  const main = useRef<HTMLElement>(null);
  const first = useRef(true);
  const title = titleOf(route);
  useEffect(() => {
    document.title = `${title} – ${state.building?.name ?? 'Nightproof'}`;
  }, [title, state.building]);
  // A new title means a new page: scroll to the top.
  useEffect(() => {
    if (!first.current) {
      scrollTo(0, 0);
      main.current?.focus({ preventScroll: true });
    }
    first.current = false;
  }, [title]);
  return (
    <>
      <button type="button" class="skip" onClick={() => main.current?.focus()}>
        Skip to content
      </button>
      <header class="top">
        <div class="top-row">
          <p class="site">
            <strong>{state.building?.name ?? 'Nightproof'}</strong>
            <span class="quiet"> emergency lighting</span>
          </p>
          <Navigation route={route} />
          {route.page === 'notice' ? null : <SiteClockView />}
        </div>
      </header>
      <Banners />
      <main ref={main} tabIndex={-1} key={title}>
        {state.status ? <Page route={route} /> : <Waiting problem={state.problem} />}
      </main>
      {route.page === 'notice' ? <NoticeFoot /> : <Caution />}
    </>
  );
}

function Waiting({ problem }: { problem: string }): JSX.Element {
  return (
    <>
      <h1>{problem === '' ? 'Loading…' : 'Nothing to show yet'}</h1>
      {problem === '' ? null : <p role="alert">{problem} Still trying to connect.</p>}
    </>
  );
}
