// Tells people and other systems of alarms: what changes in the status of the circuits becomes events, and each
// receiver gets them from a queue of its own. Once a day a mail says how everything stands.
import { nowSec, systemClock } from '../../clock';
import type { Memory } from '../../logbook/memory';
import type { Site } from '../../site/model';
import type { CircuitMessages } from '../status';
import { ALERTS_VERSION } from './alarms';
import { newDigest } from './digest';
import { newKnownAlarms } from './known';
import { alertLetter } from './letters';
import { newPost, type Post } from './mail';
import type { Batch, QueueOptions } from './queue';
import { openQueues, type Receiver } from './receivers';
import type { AlertSettings } from './settings';
import { newSigns, type Signs } from './signs';
import { postAlert, type WebhookAddress } from './webhook';

export interface AlertsOptions {
  site: Site;
  simulated: boolean;
  settings: AlertSettings;
  memory: Memory;
  /** UTC second of the building, which a simulation may have run fast. */
  now(): number;
  /** UTC second of the world in which receivers are: by it what failed is tried again. This machine's by default. */
  waitNow?(): number;
  onProblem(sentence: string): void;
  /** For tests: how often is looked, and how soon is tried again. */
  pace?: Pick<QueueOptions, 'lookMs' | 'firstSec'>;
}

export interface Alerts {
  /** What is told of a circuit now. */
  take(messages: CircuitMessages): void;
  /** Everything is known; called again and again. */
  all(messages: CircuitMessages[]): void;
  stop(): void;
}

/** What alerts say of a site. */
export type AlertedSite = Pick<Site, 'id' | 'name' | 'timeZone'>;

const realNow = (): number => nowSec(systemClock);

type Sending = Pick<AlertsOptions, 'simulated' | 'settings'> & { site: AlertedSite };

function mailReceiver({ site, simulated }: Sending, post: Post, to: string): Receiver {
  return {
    ...{ address: to, name: to },
    send: (batch) =>
      post.send(to, alertLetter(site, simulated, batch), `${batch.events[0].id}|${batch.events.length}`),
  };
}

/** Path and query may hold a key. */
function webhookName({ url }: WebhookAddress, n: number): string {
  return `webhook ${n} at ${new URL(url).origin}`;
}

/** Receivers refuse a message whose time of sending is far from theirs, whatever a simulation's clock says. */
function postBatch({ site, simulated }: Sending, to: WebhookAddress, batch: Batch): Promise<void> {
  const { id: building, name } = site;
  return postAlert(to, { v: ALERTS_VERSION, building, name, simulated, ...batch }, realNow());
}

/** Everybody who is told. @throws Error unless the settings are as `readAlertSettings` makes them */
export function receiversOf(o: Sending): Receiver[] {
  const { mail, webhooks } = o.settings;
  const post = mail && newPost(mail);
  return [
    ...(post ? mail.to.map((to) => mailReceiver(o, post, to)) : []),
    ...webhooks.map((to, i) => ({
      ...{ address: to.url, name: webhookName(to, i + 1) },
      send: (batch: Batch) => postBatch(o, to, batch),
    })),
  ];
}

/** The signs of life of those webhooks that ask for them. */
function signsOf(o: AlertsOptions, waitNow: () => number): Signs[] {
  return o.settings.webhooks.flatMap((to, i) => {
    const { signOfLife: pace } = to;
    const send = () => postBatch(o, to, { events: [], lost: 0 });
    return pace
      ? [newSigns({ name: webhookName(to, i + 1), pace, send, waitNow, onProblem: o.onProblem })]
      : [];
  });
}

/**
 * Tells of alarms until it is stopped.
 * @throws Error unless the settings are as `readAlertSettings` makes them
 */
export function startAlerts(o: AlertsOptions): Alerts {
  const { site, simulated, settings, memory, now, waitNow = realNow, onProblem, pace } = o;
  const { mail } = settings;
  const post = mail && newPost(mail);
  const queues = openQueues(receiversOf(o), { memory, now: waitNow, onProblem, ...pace });
  const known = newKnownAlarms({
    ...{ site, memory, now },
    tell: (events) => {
      for (const queue of queues) queue.add(events);
    },
  });
  const digest =
    post &&
    newDigest({
      ...{ site, simulated, post, to: mail.to, digestAt: mail.digestAt, memory, now, waitNow, onProblem },
    });
  const signs = signsOf(o, waitNow);
  return {
    take: (messages) => known.look(messages),
    all(messages) {
      digest?.look(messages);
      for (const sign of signs) void sign.look();
    },
    stop() {
      for (const queue of queues) queue.stop();
    },
  };
}
