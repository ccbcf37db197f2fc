// The proof as one HTML file: text, verifier and recipe, nothing from anywhere else. The policy lets no other script
// run and nothing be fetched, whatever stands in the records.
import { RECIPE } from './recipe';

export interface VerifierAssets {
  script: string;
  style: string;
}

function escaped(text: string): string {
  return text
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;');
}

/**
 * @param text see format.ts
 * @param title plain words
 * @param hashOf SHA-256 of a text as UTF-8, base64
 */
export function proofHtml(
  text: string,
  title: string,
  { script, style }: VerifierAssets,
  hashOf: (text: string) => string,
): string {
  const policy = `default-src 'none'; script-src 'sha256-${hashOf(script)}' 'wasm-unsafe-eval'; style-src 'sha256-${hashOf(style)}'; base-uri 'none'; form-action 'none'`;
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>${escaped(title)}</title>
<style>${style}</style>
</head>
<body>
<main id="app"><h1>${escaped(title)}</h1><p>Nothing has been checked yet. A long file takes some seconds to load. If this does not change, JavaScript is switched off here: the recipe at the end needs none.</p></main>
<section id="by-hand" aria-labelledby="by-hand-title">
<h2 id="by-hand-title">Check it without this page</h2>
<p>Whoever gave you this file could have changed the page around the records, too. With a Linux computer you need not
believe it: save the following lines as <code>check.sh</code> beside this file and run them. Read them first; they use
only <code>openssl</code>, <code>sha256sum</code> and <code>base64</code>.</p>
<pre id="recipe" tabindex="0">${escaped(RECIPE)}</pre>
</section>
<script type="text/plain" id="proof">
${text}</script>
<script>${script}</script>
</body>
</html>
`;
}
