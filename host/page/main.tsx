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
import './style/buildings.css';
import './style/print.css';
import { AllBuildings } from './allBuildings';
import { App } from './app';
import { ownBuilding, placeOfPage } from './state/base';
import { OutboxContext, StoreContext } from './state/hooks';
import { sendInspection } from './state/host';
import { HostLink } from './state/link';
import { entriesOf, Outbox } from './state/outbox';
import { startOverview } from './state/overviewLink';
import { pendingStore } from './state/pendingStore';
import { PageStore } from './state/store';
import { startTongue } from './state/tongueChoice';

const store = new PageStore();
await startTongue(store);
const own = ownBuilding();
const outbox = new Outbox({
  ...{ store: own === '' ? pendingStore : entriesOf(own, pendingStore), send: sendInspection },
  onChange: (state) => store.change((s) => ({ ...s, outbox: state })),
});
addEventListener('online', () => outbox.kick());
const isAll = placeOfPage() === 'all';
if (isAll) startOverview(store);
else new HostLink(store, (site) => outbox.reached(site)).start();
// What waits here for any building.
if (isAll) outbox.kick();
const root = document.getElementById('app');
if (root) {
  root.textContent = '';
  render(
    <StoreContext.Provider value={store}>
      <OutboxContext.Provider value={outbox}>{isAll ? <AllBuildings /> : <App />}</OutboxContext.Provider>
    </StoreContext.Provider>,
    root,
  );
}
