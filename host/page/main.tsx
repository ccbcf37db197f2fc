// Starts the page in the browser.
import { render } from 'preact';
import 'uplot/dist/uPlot.min.css';
import './style/base.css';
import './style/parts.css';
import './style/defects.css';
import './style/orders.css';
import './style/pages.css';
import './style/tables.css';
import './style/year.css';
import './style/print.css';
import { App } from './app';
import { StoreContext } from './state/hooks';
import { HostLink } from './state/link';
import { PageStore } from './state/store';

const store = new PageStore();
new HostLink(store).start();
const root = document.getElementById('app');
if (root) {
  root.textContent = '';
  render(
    <StoreContext.Provider value={store}>
      <App />
    </StoreContext.Provider>,
    root,
  );
}
