// Starts the page in the browser.
import { render } from 'preact';
import 'uplot/dist/uPlot.min.css';
import './style/base.css';
import './style/parts.css';
import './style/defects.css';
import './style/orders.css';
import './style/pages.css';
import './style/duties.css';
import './style/floor.css';
import './style/tables.css';
import './style/site.css';
import './style/year.css';
import './style/print.css';
import { App } from './app';
import { OutboxContext, StoreContext } from './state/hooks';
import { sendInspection } from './state/host';
import { HostLink } from './state/link';
import { Outbox } from './state/outbox';
import { pendingStore } from './state/pendingStore';
import { PageStore } from './state/store';
import { startTongue } from './state/tongueChoice';

const store = new PageStore();
startTongue(store);
const outbox = new Outbox({
  ...{ store: pendingStore, send: sendInspection },
  onChange: (state) => store.change((s) => ({ ...s, outbox: state })),
});
addEventListener('online', () => outbox.kick());
new HostLink(store, (site) => outbox.reached(site)).start();
const root = document.getElementById('app');
if (root) {
  root.textContent = '';
  render(
    <StoreContext.Provider value={store}>
      <OutboxContext.Provider value={outbox}>
        <App />
      </OutboxContext.Provider>
    </StoreContext.Provider>,
    root,
  );
}
