// A real SMTP server, a real HTTP receiver, and a house that tells its alarms to them.
import { createServer, type IncomingHttpHeaders } from 'node:http';
import type { AddressInfo } from 'node:net';
import { SMTPServer } from 'smtp-server';
import type { AlertMessage } from '../../../host/integrators/alerts/alarms';
import { type Alerts, startAlerts } from '../../../host/integrators/alerts/alerts';
import type { AlertSettings } from '../../../host/integrators/alerts/settings';
import { circuitMessages } from '../../../host/integrators/status';
import type { Site } from '../../../host/site/model';
import { newMemory } from '../house/bench';
import { HOUSE } from '../house/site';
import { NIGHT, newTestedHouse } from './house';

const PACE = { lookMs: 20, firstSec: 0 };

/** What must be ended after the test, and what was said meanwhile. */
export interface Stage {
  ends: (() => unknown)[];
  problems: string[];
}

/** @param refuses the answer to a receiver that is not taken */
export async function mailServer({ ends }: Stage, refuses?: (to: string) => [number, string] | undefined) {
  const mails: string[] = [];
  const server = new SMTPServer({
    ...{ authOptional: true, disabledCommands: ['AUTH', 'STARTTLS'], logger: false },
    onRcptTo({ address }, _session, done) {
      const refusal = refuses?.(address);
      done(refusal && Object.assign(new Error(refusal[1]), { responseCode: refusal[0] }));
    },
    onData(stream, _session, done) {
      let text = '';
      stream.on('data', (bytes: Buffer) => {
        text += bytes.toString();
      });
      stream.on('end', () => {
        // Long lines are folded by "=" at their end.
        mails.push(text.replace(/=\r\n/g, ''));
        done();
      });
    },
  });
  server.on('error', () => {});
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  ends.push(() => new Promise<void>((resolve) => server.close(resolve)));
  return { mails, port: (server.server.address() as AddressInfo).port };
}

/** An HTTP server that answers everything with `status`. */
export async function receiver({ ends }: Stage, port = 0, status = 200) {
  const got: { headers: IncomingHttpHeaders; body: string; path: string }[] = [];
  const server = createServer((request, answer) => {
    let body = '';
    request.on('data', (bytes: Buffer) => {
      body += bytes.toString();
    });
    request.on('end', () => {
      got.push({ headers: request.headers, body, path: request.url ?? '' });
      answer.writeHead(status).end();
    });
  });
  await new Promise<void>((resolve) => server.listen(port, '127.0.0.1', resolve));
  const close = () =>
    new Promise<void>((resolve) => {
      server.closeAllConnections();
      server.close(() => resolve());
    });
  ends.push(close);
  const events = () => got.flatMap(({ body }) => (JSON.parse(body) as AlertMessage).events);
  const bound = (server.address() as AddressInfo).port;
  return { got, events, close, port: bound, url: `http://127.0.0.1:${bound}` };
}

export function mailTo(port: number, ...to: string[]): AlertSettings['mail'] {
  return {
    ...{ server: `smtp://127.0.0.1:${port}`, from: 'host@museum.example' },
    ...{ to: to.length > 0 ? to : ['caretaker@museum.example'], digestAt: '07:00' },
  };
}

/** A house that tells its alarms by these settings; `look` tells what its circuits are at a UTC second. */
export async function telling({ ends, problems }: Stage, settings: AlertSettings, setUpAt = NIGHT) {
  const tested = await newTestedHouse();
  const memory = newMemory();
  const places = new Set<string>();
  let now = setUpAt;
  let [inForce, site] = [settings, HOUSE];
  const start = (): Alerts =>
    startAlerts({
      ...{ site, simulated: false, settings: inForce, now: () => now, pace: PACE },
      // Here tries again go by the clock of the test too.
      waitNow: () => now,
      memory: {
        recall: memory.recall,
        remember(name, text) {
          places.add(name);
          memory.remember(name, text);
        },
      },
      onProblem: (sentence) => problems.push(sentence),
    });
  const running = { alerts: start() };
  ends.push(() => running.alerts.stop());
  return {
    ...tested,
    restart(changed: { settings?: AlertSettings; site?: Site; now?: number } = {}) {
      running.alerts.stop();
      inForce = changed.settings ?? inForce;
      site = changed.site ?? site;
      now = changed.now ?? now;
      running.alerts = start();
    },
    /** Alarms in all queues: those on their way come twice if it is started again now. */
    waiting(): number {
      const queues = [...places].filter((name) => name.startsWith('alerts to '));
      const states = queues.map((name) => JSON.parse(memory.recall(name) || '{"events":[]}'));
      return states.reduce((sum, { events }) => sum + events.length, 0);
    },
    look(at: number) {
      now = at;
      const all = site.circuits.map(({ id }) => circuitMessages(site, tested.house, id, at));
      for (const one of all) running.alerts.take(one);
      running.alerts.all(all);
    },
  };
}
