// The page as texts. Script and style are prebuilt, so that the host needs no compiler.
import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { LOADED } from './tongues/names';

export interface PageAssets {
  html: string;
  /** Served as /app.js. */
  script: string;
  /** Served as /app.css. */
  style: string;
  /** The words of each language but English, by its tag; served at `tonguePath`. */
  tongues: Readonly<Record<string, string>>;
}

// No inline script or style, nothing from elsewhere: the page works under `default-src 'self'`.
const HTML = `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>Nightproof</title>
<link rel="icon" href="data:,">
<link rel="stylesheet" href="/app.css">
<script type="module" src="/app.js"></script>
</head>
<body>
<div id="app"><noscript>This page needs JavaScript.</noscript></div>
</body>
</html>
`;

/** @throws Error in one sentence if the page was not built. */
export async function loadPage(): Promise<PageAssets> {
  const { resolve } = createRequire(import.meta.url);
  const built = (name: string) => readFile(resolve(`#root/build/page/${name}`), 'utf8');
  try {
    const [script, style] = await Promise.all(['app.js', 'app.css'].map(built));
    const words = await Promise.all(LOADED.map(async (tag) => [tag, await built(`tongues/${tag}.js`)]));
    return { html: HTML, script, style, tongues: Object.fromEntries(words) };
  } catch {
    throw new Error('The page is not built: run `npm run build`, then try again.');
  }
}
