// The lodge, served from the command line with the built-in broker, as often as the test asks for it.
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { freePort } from '../../support/brokers';
import { Command } from '../../system/support/cli';
import { buildLodge } from '../../system/support/lodge';
import type { Stage } from './told';

export interface ServedLodge {
  db: string;
  /** Port of the built-in broker. */
  port: number;
  /** Resolves when it serves; alarms go nowhere. */
  serve(): Promise<Command>;
}

export async function servedLodge(stage: Stage, folder: string): Promise<ServedLodge> {
  const { file } = buildLodge(folder, 1, 60);
  const db = join(folder, 'log.db');
  const [page, port] = await Promise.all([freePort(), freePort()]);
  const alerts = join(folder, 'alerts.yaml');
  writeFileSync(alerts, 'webhooks:\n  - url: http://127.0.0.1:9/alarm\n');
  const serve = async (): Promise<Command> => {
    const ports = ['--port', String(page), '--broker-port', String(port)];
    const host = new Command(['serve', file, '--db', db, '--alerts', alerts, ...ports]);
    stage.ends.push(() => host.end('SIGKILL'));
    await host.saying(/page http[\s\S]*Alarms from now on are sent as \S+alerts\.yaml says\./);
    return host;
  };
  return { db, port, serve };
}
