// The client on a real TCP connection. The network runs in real time; the client's own clock is a number that
// only the test advances, so its timeouts are tested without waiting.
import { connect, type Socket } from 'node:net';
import {
  type Mqtt,
  type MqttOptions,
  mqttClosed,
  mqttData,
  mqttOpened,
  mqttPublish,
  mqttTick,
  mqttWakeAt,
  newMqtt,
} from '../../../firmware/link/mqtt';

export interface Device {
  m: Mqtt;
  seen: string[];
  /** Moves the client's clock to its next deadline and ticks. */
  toNextDeadline(): void;
  publish(topic: string, payload: string, qos: number, retain: number): number;
  /** The TCP connection breaks without a DISCONNECT. */
  cutCable(): void;
}

/** A controller's link to the broker on this port. It stays idle until `toNextDeadline`. */
export function device(port: number, changes: Partial<MqttOptions> = {}): Device {
  const seen: string[] = [];
  let now = 0;
  let socket: Socket | undefined;
  const net = {
    stops: 0,
    isReady: () => true,
    open() {
      const opened = connect(port, '127.0.0.1');
      socket = opened;
      opened.on('connect', () => opened === socket && mqttOpened(m, now));
      opened.on('data', (bytes) => opened === socket && mqttData(m, bytes.toString('latin1'), now));
      opened.on('close', () => opened === socket && mqttClosed(m, now));
      opened.on('error', () => opened.destroy());
    },
    write: (bytes: string) => void socket?.write(Buffer.from(bytes, 'latin1')),
    close() {
      socket?.end();
      socket = undefined;
    },
  };
  const options: MqttOptions = {
    clientId: 'controller-1',
    user: '',
    password: '',
    keepAliveSec: 30,
    willTopic: 'nightproof/site/controller-1/presence',
    willPayload: '{"v":1,"online":0}',
    topics: ['nightproof/site/controller-1/order', 'nightproof/site/controller-1/ack'],
    jitter: 0.5,
    ...changes,
  };
  const m = newMqtt(options, net, {
    accepts: () => true,
    online: () => seen.push('online'),
    offline: () => seen.push('offline'),
    message: (topic, payload, retained) => seen.push(`${topic} ${payload} ${retained}`),
    published: (id) => seen.push(`published ${id}`),
  });
  return {
    m,
    seen,
    toNextDeadline() {
      now = mqttWakeAt(m);
      mqttTick(m, now);
    },
    publish: (topic, payload, qos, retain) => mqttPublish(m, topic, payload, qos, retain, now),
    cutCable: () => void socket?.destroy(),
  };
}
