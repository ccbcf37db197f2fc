// A running host of two buildings, for tests of what other systems get of both.
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import mqtt from 'mqtt';
import { loginOf } from '../../../host/broker/logins';
import { openKeys, signMessage } from '../../../host/keys';
import { bookIn } from '../../../host/serve/places';
import { type ServedSeveral, type SeveralOptions, serveSeveral } from '../../../host/serve/several';
import { SMALL } from '../site/small';
import { restState } from './house';

export class SeveralBench {
  readonly folder = mkdtempSync(join(tmpdir(), 'nightproof-doors-'));
  readonly ends: (() => unknown)[] = [];
  host: ServedSeveral | undefined;

  private fileOf(id: string): string {
    return join(this.folder, `${id}.yaml`);
  }

  private get books(): string {
    return join(this.folder, 'books');
  }

  /** Writes the site file of a building. */
  site(id: string, text = SMALL): void {
    writeFileSync(this.fileOf(id), text.replace('id: mill', `id: ${id}`));
  }

  async start(ids: string[], more: Partial<SeveralOptions>): Promise<ServedSeveral> {
    this.host = await serveSeveral({
      ...{ files: ids.map((id) => this.fileOf(id)), folder: this.books, port: 0, brokerPort: 0 },
      ...{ quiet: true, againMs: 100, ...more },
    });
    await this.host.started;
    return this.host;
  }

  /** Its controller logs in and reports. */
  async report(id: string): Promise<void> {
    const keys = openKeys(`${bookIn(this.books, id)}.secret`);
    const user = `${id}.one`;
    const { password } = loginOf(keys, user);
    const client = await mqtt.connectAsync(this.host?.brokerUrl ?? '', {
      ...{ clientId: user, username: user, password, protocolVersion: 4, reconnectPeriod: 0 },
    });
    this.ends.push(() => client.endAsync(true));
    const tell = () => {
      const state = restState({ up: Math.round(performance.now()) });
      client.publish(`nightproof/${id}/one/state`, signMessage(keys, `${id}/one`, 'state', state), {
        ...{ qos: 1, retain: true },
      });
    };
    const heartbeat = setInterval(tell, 500);
    this.ends.push(() => clearInterval(heartbeat));
    tell();
  }

  async end(): Promise<void> {
    for (const end of this.ends.reverse()) await end();
    await this.host?.stop();
    rmSync(this.folder, { recursive: true, force: true });
  }
}
