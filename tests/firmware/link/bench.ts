// The client on a recording net port. Time is the number passed in.
import { expect } from 'vitest';
import {
  LinkState,
  type Mqtt,
  type MqttOptions,
  mqttData,
  mqttOpened,
  mqttTick,
  newMqtt,
} from '../../../firmware/link/mqtt';

export const ACCEPTED = '\x20\x02\x00\x00';
export const PINGRESP = '\xd0\x00';
export const OPTIONS: MqttOptions = {
  clientId: 'controller-1',
  user: '',
  password: '',
  keepAliveSec: 40,
  willTopic: 'nightproof/site/controller-1/presence',
  willPayload: '{"v":1,"online":0}',
  topics: ['nightproof/site/controller-1/order', 'nightproof/site/controller-1/plan'],
  jitter: 0,
};

export interface Bench {
  m: Mqtt;
  /** Everything that happened, in order: calls of the port, and events. */
  seen: string[];
  written: string[];
  /** Set to make the port fail or call back from inside a call. */
  onOpen: () => void;
  onWrite: () => void;
  onClose: () => void;
}

/** A client on a net port that records its calls; `jitter` 0. */
export function bench(changes: Partial<MqttOptions> = {}): Bench {
  const seen: string[] = [];
  const written: string[] = [];
  const nothing = () => {};
  const b = { seen, written, onOpen: nothing, onWrite: nothing, onClose: nothing } as Bench;
  b.m = newMqtt(
    { ...OPTIONS, ...changes },
    {
      stops: 0,
      isReady: () => true,
      open: () => {
        seen.push('open');
        b.onOpen();
      },
      write: (bytes) => {
        written.push(bytes);
        b.onWrite();
      },
      close: () => {
        seen.push('close');
        b.onClose();
      },
    },
    {
      accepts: () => true,
      online: () => seen.push('online'),
      offline: () => seen.push('offline'),
      message: (topic, payload, retained) => seen.push(`message ${topic} ${payload} ${retained}`),
      published: (id) => seen.push(`published ${id}`),
    },
  );
  return b;
}

/** The answer to the client's SUBSCRIBE; valid once that was sent. */
export function suback(m: Mqtt, codes = '\x01\x01'): string {
  return `\x90${String.fromCharCode(2 + codes.length)}\x00${String.fromCharCode(m.subscribeId)}${codes}`;
}

/** Ticks until every packet that has arrived is processed. */
export function takeRest(b: Bench, now: number): void {
  while (b.m.hasMore) mqttTick(b.m, now);
}

/** Opens the connection, accepts it and confirms the subscription, all at `now`. */
export function goOnline(b: Bench, now: number): void {
  mqttTick(b.m, now);
  mqttOpened(b.m, now);
  mqttData(b.m, ACCEPTED, now);
  if (b.m.options.topics.length > 0) mqttData(b.m, suback(b.m), now);
  expect(b.m.state).toBe(LinkState.Online);
  b.seen.splice(0);
  b.written.splice(0);
}
