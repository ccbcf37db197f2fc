// How to trust the page on a phone and on a computer: plain, without scripts, for everybody in the building.
import { Hono } from 'hono';

/** The host's own authority. */
export interface Authority {
  /** PEM. */
  cert: string;
}

const FILE = 'nightproof-ca.crt';

interface Device {
  name: string;
  /** How its browser describes itself. An iPad may call itself a Mac. */
  agent: RegExp;
  /** How it installs the certificate. */
  install: string;
  /** Where it shows the certificate's SHA-256 itself, in HTML. */
  shown: string;
}

/** From memory, but for the command of Linux. Where a device can show the SHA-256 before it trusts anything, it is asked to. */
const DEVICES: Device[] = [
  {
    name: 'Android',
    agent: /Android/,
    install: 'Settings, Security, Encryption and credentials, Install a certificate, CA certificate.',
    shown: 'Settings, Security, Encryption and credentials, Trusted credentials, User: tap the certificate.',
  },
  {
    name: 'iPhone and iPad',
    agent: /iPhone|iPad|Macintosh/,
    install:
      'open the file, then Settings, General, VPN and device management. Do step 3 there before you install it. Then General, ' +
      'About, Certificate trust settings, switch it on: only after step 3.',
    shown: 'tap the profile, More details, the certificate.',
  },
  {
    name: 'Windows',
    agent: /Windows/,
    install: 'after step 3 open the file, Install certificate, Trusted root certification authorities.',
    shown: `<code>certutil -dump ${FILE}</code>, line "Cert Hash(sha256)".`,
  },
  {
    name: 'macOS',
    agent: /Macintosh/,
    install: 'open the file in Keychain Access, and after step 3 set it to Always trust.',
    shown: "the certificate's details in Keychain Access.",
  },
  {
    name: 'Linux',
    agent: /Linux(?!; Android)/,
    install:
      'after step 3, in the settings of the browser, Certificates, Authorities, Import; trust it for websites.',
    shown: `<code>openssl x509 -in ${FILE} -noout -fingerprint -sha256</code>, or the browser's certificate viewer.`,
  },
];

/** Only what is about the device that asks is open. */
function ofDevices(agent: string, words: (device: Device) => string): string {
  const isKnown = DEVICES.some((device) => device.agent.test(agent));
  return DEVICES.map((device) => {
    const isOpen = !isKnown || device.agent.test(agent);
    return `<details${isOpen ? ' open' : ''}><summary>${device.name}</summary>${words(device)}</details>`;
  }).join('\n');
}

/** Without the SHA-256: whoever stands between would show the right one here, beside a certificate of their own. */
function html(agent: string): string {
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
<li><strong>1. Download</strong> the certificate: <a href="/${FILE}">${FILE}</a></li>
<li><strong>2. Install</strong> it as a certificate authority:
${ofDevices(agent, ({ install }) => install)}</li>
<li><strong>3. Compare</strong> what the device itself shows as SHA-256 with the lines on the screen of the host, or as the
administrator gives them to you. Go by nothing else: this page cannot vouch for itself.
${ofDevices(agent, ({ shown }) => shown)}
If one character differs, remove it at once: somebody is between you and the host.</li>
<li><strong>4. Open the page.</strong> There is no warning any more. If there is, do not give your password.
<a class="wide" href="/">The page</a></li>
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
    return present ? c.html(html(c.req.header('user-agent') ?? '')) : c.notFound();
  });
  app.get(`/${FILE}`, (c) => {
    const present = authority();
    if (!present) return c.notFound();
    return c.body(present.cert, 200, { 'Content-Type': 'application/x-x509-ca-cert' });
  });
  return app;
}
