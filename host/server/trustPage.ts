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

function html({ fingerprint }: Authority): string {
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
<h1>Trust this page on your phone or computer</h1>
<p>The host has an authority of its own, because no public one gives certificates for addresses inside a building. It can
vouch only for private addresses and for the names of this host.</p>
<ol>
<li><strong>Get the certificate:</strong> <a href="/${FILE}">${FILE}</a>.</li>
<li><strong>Compare its SHA-256 fingerprint</strong> with the one that the host printed when it was started, or that the
administrator gives you. If one character differs, stop: somebody is between you and the host.
<p class="fingerprint"><code>${fingerprintLines(fingerprint).join('<br>')}</code></p></li>
<li><strong>Install it as a certificate authority:</strong>
<ul>
<li>Android: Settings, Security, Encryption and credentials, Install a certificate, CA certificate.</li>
<li>iPhone and iPad: open the file, then Settings, General, VPN and device management, install it; then General, About,
Certificate trust settings, switch it on.</li>
<li>Windows: open the file, Install certificate, Trusted root certification authorities.</li>
<li>macOS: open the file in Keychain Access, and set it to Always trust.</li>
<li>Linux: in the settings of the browser, Certificates, Authorities, Import; trust it for websites.</li>
</ul></li>
<li><strong>Open <a href="/">the page</a> again.</strong> There is no warning any more. If there is, do not give your password.</li>
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
    return present ? c.html(html(present)) : c.notFound();
  });
  app.get(`/${FILE}`, (c) => {
    const present = authority();
    if (!present) return c.notFound();
    return c.body(present.cert, 200, { 'Content-Type': 'application/x-x509-ca-cert' });
  });
  return app;
}
