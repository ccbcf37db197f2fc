// How to trust the page, as each kind of device sees it.
import { expect, it } from 'vitest';
import { trustRoutes } from '../../../host/server/trustPage';

const app = trustRoutes(() => ({ cert: 'PEM' }));

async function page(agent: string): Promise<string> {
  return (await app.request('/trust', { headers: { 'user-agent': agent } })).text();
}

/** Devices whose steps are open. */
const open = (html: string) => [...html.matchAll(/<details open><summary>([^<]+)/g)].map(([, name]) => name);

it.each([
  ['Mozilla/5.0 (Linux; Android 14; K) AppleWebKit/537.36 Chrome/126.0 Mobile Safari/537.36', ['Android']],
  [
    'Mozilla/5.0 (iPhone; CPU iPhone OS 17_5 like Mac OS X) Version/17.5 Mobile Safari/604.1',
    ['iPhone and iPad'],
  ],
  ['Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7) Version/17.5 Safari/605.1', ['iPhone and iPad', 'macOS']],
  ['Mozilla/5.0 (Windows NT 10.0; Win64; x64) Chrome/126.0 Safari/537.36', ['Windows']],
  ['Mozilla/5.0 (X11; Linux x86_64; rv:127.0) Firefox/127.0', ['Linux']],
])('opens on %s only its own steps', async (agent, devices) => {
  const html = await page(agent);
  // How to install it, and where the device shows its SHA-256.
  expect(open(html)).toEqual([...devices, ...devices]);
  expect(html.match(/<details/g)).toHaveLength(10);
});

it('opens all steps for a browser that does not say what it runs on', async () => {
  expect(open(await page(''))).toHaveLength(10);
});

it('has the download before the installation, and then the comparison with what the device itself shows', async () => {
  const html = await page('');
  const at = [/1\. Download/, /2\. Install/, /3\. Compare/, /shows as SHA-256/, /4\. Open/].map((part) =>
    html.search(part),
  );
  expect(Math.min(...at)).toBeGreaterThan(0);
  expect(at).toEqual([...at].sort((a, b) => a - b));
});
