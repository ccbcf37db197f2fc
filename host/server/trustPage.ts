// How to trust the page on a phone and on a computer: plain, without scripts, for everybody in the building.
import { Hono } from 'hono';

/** The host's own authority. */
export interface Authority {
  /** PEM. */
  cert: string;
  /** SHA-256 of the certificate, hex with colons. */
  fingerprint: string;
}

const FILE = 'nightproof-ca.crt';

/** Printed by the host in the same form, to be compared by eye: four groups to a line. */
export function fingerprintLines(fingerprint: string): string[] {
  const groups = fingerprint.replaceAll(':', '').match(/.{4}/g) ?? [];
  return [groups.slice(0, 8).join(' '), groups.slice(8).join(' ')];
}

/** How each kind of device installs it, and how its browser describes itself. An iPad may call itself a Mac. */
const DEVICES: [name: string, agent: RegExp, how: string][] = [
  [
    'Android',
    /Android/,
    'Settings, Security, Encryption and credentials, Install a certificate, CA certificate.',
  ],
  [
    'iPhone and iPad',
    /iPhone|iPad|Macintosh/,
    'open the file, then Settings, General, VPN and device management, install it; then General, About, Certificate trust ' +
      'settings, switch it on.',
  ],
  ['Windows', /Windows/, 'open the file, Install certificate, Trusted root certification authorities.'],
  ['macOS', /Macintosh/, 'open the file in Keychain Access, and set it to Always trust.'],
  [
    'Linux',
    /Linux(?!; Android)/,
    'in the settings of the browser, Certificates, Authorities, Import; trust it for websites.',
  ],
];

/** Only the steps of the device that asks are open. */
function steps(agent: string): string {
  const isKnown = DEVICES.some(([, pattern]) => pattern.test(agent));
  return DEVICES.map(([name, pattern, how]) => {
    const isOpen = !isKnown || pattern.test(agent);
    return `<details${isOpen ? ' open' : ''}><summary>${name}</summary>${how}</details>`;
  }).join('\n');
}

function html({ fingerprint }: Authority, agent: string): string {
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>Trust this page</title>
<link rel="icon" href="data:,">
<link rel="stylesheet" href="/app.css">
</head>
<body>
<main>
<h1>Trust this page</h1>
<p>Once on each device. No public authority vouches for addresses inside a building, so this host has one of its own.</p>
<ol>
<li><strong>1. Compare</strong> this fingerprint with the one on the screen of the host, or as the administrator gives it to you. If one
character differs, stop: somebody is between you and the host.
<p class="fingerprint"><code>${fingerprintLines(fingerprint).join('<br>')}</code></p></li>
<li><strong>2. Download</strong> the certificate: <a href="/${FILE}">${FILE}</a></li>
<li><strong>3. Install</strong> it as a certificate authority:
${steps(agent)}</li>
<li><strong>4. Open <a href="/">the page</a>.</strong> There is no warning any more. If there is, do not give your password.</li>
</ol>
</main>
</body>
</html>
`;
}

/** The page and the certificate. @param authority the one in force; undefined with certificates of others */
export function trustRoutes(authority: () => Authority | undefined): Hono {
  const app = new Hono();
  app.get('/trust', (c) => {
    const present = authority();
    return present ? c.html(html(present, c.req.header('user-agent') ?? '')) : c.notFound();
  });
  app.get(`/${FILE}`, (c) => {
    const present = authority();
    if (!present) return c.notFound();
    return c.body(present.cert, 200, { 'Content-Type': 'application/x-x509-ca-cert' });
  });
  return app;
}
