// Mails whoever is responsible when a luminaire fails, and when nobody can say any more whether it has.
// npm install mqtt nodemailer, then: node mail-on-failure.mjs (with the variables below)
import mqtt from 'mqtt';
import { createTransport } from 'nodemailer';

const { BROKER, READER, READER_PASSWORD, SITE, SMTP, FROM, TO } = process.env;
const post = createTransport(SMTP);
const told = new Map();

const client = mqtt.connect(BROKER, { username: READER, password: READER_PASSWORD, clientId: READER });
client.on('connect', () =>
  client.subscribe([`nightproof/${SITE}/status/luminaire/+`, `nightproof/${SITE}/status/host`], { qos: 1 }),
);

client.on('message', (topic, payload) => {
  // An empty message: the luminaire was taken out of the site.
  if (payload.length === 0) return;
  const status = JSON.parse(payload.toString());
  const isBad = topic.endsWith('/host') ? !status.online : status.verdict === 'fail';
  const key = isBad ? `bad since ${status.since ?? status.startedAt}` : 'good';
  // Retained messages come again with each connection, and a message may come twice.
  if (told.get(topic) === key) return;
  told.set(topic, key);
  if (!isBad) return;
  // The host is away for some seconds when its site is changed or its program updated.
  const waitMs = topic.endsWith('/host') ? 60_000 : 0;
  const subject = topic.endsWith('/host')
    ? 'The host of the emergency lighting is gone'
    : `Luminaire ${status.luminaire} failed (${status.place}, ${status.area.name})`;
  const text = status.reason?.words ?? 'Nothing is tested or told until it runs again.';
  setTimeout(() => {
    if (told.get(topic) !== key) return;
    post.sendMail({ from: FROM, to: TO, subject, text }).catch((error) => console.error(error.message));
  }, waitMs);
});
