// Mails whoever is responsible when a luminaire fails, and when the host is silent: nobody can say then whether one has.
// npm install mqtt nodemailer, then: node mail-on-failure.mjs (with the variables below)
import { existsSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { setTimeout } from 'node:timers/promises';
import mqtt from 'mqtt';
import { createTransport } from 'nodemailer';

const { BROKER, READER, READER_PASSWORD, SITE, SMTP, FROM, TO } = process.env;
// The file keeps what was told, or a restart of this program would tell it again.
const { SILENT_SECONDS = 180, TOLD = 'told.json' } = process.env;

const post = createTransport(SMTP);
/** By topic: since when what was told lasts. Of the host: its last sign of life before a silence, '' while it is there. */
const told = existsSync(TOLD) ? JSON.parse(readFileSync(TOLD, 'utf8')) : {};
const failed = new Map();
let lastSign = told.host || 'never';
let heardMs = told.host ? 0 : Date.now();

/** What is away is said once, and once that it is back: it is tried every 5 s. */
const away = new Set();
const isNews = (what, problem) => (problem ? !away.has(what) && away.add(what) : away.delete(what));
const note = (what, problem) => isNews(what, problem) && console.error(`${what}: ${problem ?? 'back'}`);

const topics = ['luminaire/+', 'host'].map((of) => `nightproof/${SITE}/status/${of}`);
const login = { username: READER, password: READER_PASSWORD, clientId: READER };
const client = mqtt.connect(BROKER, { ...login, reconnectPeriod: 5000, reconnectOnConnackError: true });
client.on('error', (error) => note('Broker', error.message || error.code));
client.on('connect', () => note('Broker'));
client.on('connect', () =>
  client.subscribe(topics, { qos: 1 }, (error) => console.log(error?.message ?? `Watching ${SITE}.`)),
);

client.on('message', (topic, payload) => {
  // An empty message: the luminaire was taken out of the site.
  const status = payload.length === 0 ? {} : JSON.parse(payload.toString());
  if (status.verdict === 'fail') failed.set(topic, status);
  else failed.delete(topic);
  // A retained message may be old: only a new time is a sign of life.
  if (status.online && status.at !== lastSign) [lastSign, heardMs] = [status.at, Date.now()];
});

/** What cannot be mailed is tried again at the next look. */
async function mail(key, since, subject, text) {
  if ((told[key] ?? '') === since) return;
  try {
    await post.sendMail({ from: FROM, to: TO, subject, text });
    told[key] = since;
    writeFileSync(`${TOLD}.new`, JSON.stringify(told));
    renameSync(`${TOLD}.new`, TOLD);
    note('Mail');
  } catch (error) {
    note('Mail', error.message);
  }
}

// The built-in broker dies with the host, so nobody says that it is gone: only a clock of one's own notices.
for (;;) {
  await setTimeout(5000);
  const isSilent = Date.now() - heardMs > SILENT_SECONDS * 1000;
  const [state, words] = isSilent
    ? ['silent', 'Nothing is told until it is back, and new plans reach nobody.']
    : ['back', 'It is heard again.'];
  await mail('host', isSilent ? lastSign : '', `The host of the emergency lighting is ${state}`, words);
  for (const [topic, { since, luminaire, place, area, reason }] of failed)
    await mail(topic, since, `Luminaire ${luminaire} failed (${place}, ${area.name})`, reason.words);
}
