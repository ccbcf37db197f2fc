// A running host with a controller that has found a dead lamp, on its own broker or on Mosquitto, for tests of what other
// systems get.
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import mqtt, { type MqttClient } from 'mqtt';
import { expect } from 'vitest';
import { Reason, TestKind } from '../../../firmware/contract/codes';
import { brokerFiles } from '../../../host/broker/files';
import { loginOf } from '../../../host/broker/logins';
import { HOST_CLIENT } from '../../../host/broker/parties';
import { signMessage } from '../../../host/keys';
import { type Served, type ServeOptions, serve } from '../../../host/serve/serve';
import type { Site } from '../../../host/site/model';
import { type MosquittoBroker, startMosquitto } from '../../support/brokers';
import { HOUSE } from '../house/site';
import { KEYS, newJournal, resultFields } from '../logbook/records';
import { PASS, restState } from './house';

const DEAD = [2, Reason.NotLitAtFiveSeconds, 0, 0, 0, 0, 0];

export class HostBench {
  readonly folder = mkdtempSync(join(tmpdir(), 'nightproof-status-'));
  readonly ends: (() => unknown)[] = [];
  host: Served | undefined;
  /** UTC. */
  nowMs = 1770000000000;

  async start(site: Site, broker?: string, more: Partial<ServeOptions> = {}): Promise<Served> {
    this.host = await serve({
      ...{ site, siteFile: 'house.yaml', db: join(this.folder, 'log.db'), port: 0, brokerPort: 0 },
      ...{ keys: KEYS, clock: { nowMs: () => this.nowMs }, quiet: true },
      ...(broker !== undefined && { broker }),
      ...more,
    });
    return this.host;
  }

  /** With the users and rules that the host writes for it. */
  async mosquitto(): Promise<MosquittoBroker> {
    const { folder } = this;
    const users = { readers: ['desk'], platforms: ['home'], discovery: 'homeassistant' };
    const wish = { buildings: [{ site: HOUSE, keys: KEYS }], ...users, host: '127.0.0.1', port: 1, folder };
    for (const [name, text] of Object.entries(brokerFiles(wish).texts))
      writeFileSync(join(folder, name), text);
    const broker = await startMosquitto({
      passwordFile: join(folder, 'passwords'),
      config: [`acl_file ${folder}/acl`, 'use_username_as_clientid true'],
    });
    this.ends.push(() => broker.kill());
    return broker;
  }

  /** Where the host joins it. */
  hostAt(port: number): string {
    return `mqtt://${HOST_CLIENT}@127.0.0.1:${port}`;
  }

  async enter(port: number, user: string): Promise<MqttClient> {
    const { password } = loginOf(KEYS, user);
    const client = await mqtt.connectAsync(`mqtt://127.0.0.1:${port}`, {
      ...{ clientId: user, username: user, password, protocolVersion: 4 },
    });
    this.ends.push(() => client.endAsync(true));
    return client;
  }

  private settings(): number {
    return this.host?.house.desired.settingsRevision('a') ?? 0;
  }

  /** A controller whose test has shown that A-02 is dead. */
  async testA(port: number): Promise<MqttClient> {
    const a = await this.enter(port, 'demo.a');
    const state = () =>
      signMessage(KEYS, 'demo/a', 'state', restState({ up: Math.round(performance.now()) }));
    const tell = () => a.publish('nightproof/demo/a/state', state(), { qos: 1, retain: true });
    const heartbeat = setInterval(tell, 500);
    this.ends.push(() => clearInterval(heartbeat));
    tell();
    // A record is sent once here, so the host must be listening.
    await expect.poll(() => this.host?.house.reported.of('a').state).toBeDefined();
    await expect.poll(() => this.host?.house.past.notes.listed('a', this.settings())).toBeDefined();
    const fields = resultFields([PASS, DEAD], {
      ...{ settings: this.settings(), started: 1770000000, type: TestKind.Full, seconds: 3600 },
    });
    a.publish('nightproof/demo/a/record', newJournal('demo/a').next('result', fields), { qos: 1 });
    return a;
  }

  async stop(): Promise<void> {
    await this.host?.stop();
    this.host = undefined;
  }

  async end(): Promise<void> {
    await this.stop();
    for (const end of this.ends.reverse()) await end();
    rmSync(this.folder, { recursive: true, force: true });
  }
}
