// A press on "Restore supply" after the session has ended: the host's real routes refuse it, and the page keeps it.
import { afterEach, expect, it, vi } from 'vitest';
import { Desk } from '../../../host/accounts/desk';
import { openAccounts } from '../../../host/accounts/store';
import { systemClock } from '../../../host/clock';
import { restoreNow } from '../../../host/page/parts/order';
import { PageStore } from '../../../host/page/state/store';
import { application, type ServerOptions } from '../../../host/server/server';

afterEach(() => vi.unstubAllGlobals());

it('is kept, so that the order is given after signing in, and is not taken for one that was given', async () => {
  const accounts = openAccounts(':memory:');
  const none = { isDisabled: false, code: '', codeUntil: 0 };
  accounts.put({ id: 'zoe', name: 'Zoë', role: 'administrator', password: 'set', ...none });
  const desk = new Desk({ store: accounts, clock: systemClock, enter: async () => {} });
  const parts = {
    desk,
    past: { notes: {} },
    site: { circuits: [] },
    page: { html: '', script: '', style: '', tongues: {} },
  };
  const app = application(parts as unknown as ServerOptions, '127.0.0.1');
  // A browser adds the address of the page.
  vi.stubGlobal('fetch', (path: string, init: RequestInit) =>
    app.request(path, { ...init, headers: { ...init.headers, host: '127.0.0.1' } }),
  );
  const store = new PageStore();
  await restoreNow(store, 'wing-1', 'Zoë');
  expect(store.state).toMatchObject({ owedRestore: 'wing-1', outcome: null });
});
