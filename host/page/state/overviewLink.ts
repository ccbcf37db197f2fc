// Keeps the overview of all buildings current by asking again and again: nobody restores a supply here.
import { askBuildings, whenSignedOut } from './host';
import { askSession, isAdmitted, takeSession } from './session';
import type { PageStore } from './store';

const AGAIN_MS = 5000;
/** Without an answer for this long what is shown may be out of date, ms. */
const SILENCE_MS = 15_000;

/** Fills the store and keeps it current until the page is left. */
export function startOverview(store: PageStore): void {
  let asking = false;
  const once = async (): Promise<void> => {
    if (asking) return;
    asking = true;
    try {
      if (!isAdmitted(store.state.session)) takeSession(store, await askSession());
      const overview = isAdmitted(store.state.session) ? await askBuildings() : null;
      const heardMs = performance.now();
      store.change((s) => ({ ...s, overview, heardMs, linkUp: true, problem: '' }));
    } catch (error) {
      const { message: problem } = error as Error;
      const isSilent = performance.now() - store.state.heardMs > SILENCE_MS;
      store.change((s) => ({ ...s, problem, linkUp: !isSilent }));
    } finally {
      asking = false;
    }
  };
  // Whoever has just signed in does not wait.
  let before = isAdmitted(store.state.session);
  store.listen(() => {
    const isIn = isAdmitted(store.state.session);
    if (isIn && !before) void once();
    before = isIn;
  });
  whenSignedOut(
    () =>
      void askSession().then(
        (session) => takeSession(store, session, true),
        () => {},
      ),
  );
  void once();
  setInterval(() => void once(), AGAIN_MS);
}
