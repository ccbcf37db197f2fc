// `serve`: only the host, until interrupted.

import { readAlertSettings } from '../integrators/alerts/settings';
import { serveLasting } from '../serve/lasting';
import type { Site } from '../site/model';
import { CAUTION } from '../words/caution';
import type { DoorFlags } from './doorOptions';

export interface ServeCommandOptions extends DoorFlags {
  site: Site;
  siteFile: string;
  broker?: string;
  db: string;
  host: string;
  port: number;
  names: string[];
  tlsCert?: string;
  tlsKey?: string;
  brokerHost?: string;
  brokerPort?: number;
  trustedNetwork?: boolean;
  /** File that says who is told of alarms. */
  alerts?: string;
  /** Port of the numbers for Prometheus. */
  metrics?: number;
}

/** @returns the exit code. @throws Error with one sentence if a port is taken or the log book is unusable. */
export async function serveCommand({ alerts: file, ...o }: ServeCommandOptions): Promise<number> {
  const alerts = file === undefined ? undefined : readAlertSettings(file);
  const host = await serveLasting({ ...o, ...(alerts && { alerts }) });
  process.stdout.write(`${CAUTION}\nPress Ctrl-C to stop.\n`);
  const interrupted = new Promise<undefined>((resolve) => {
    process.once('SIGINT', () => resolve(undefined));
    process.once('SIGTERM', () => resolve(undefined));
  });
  const why = await Promise.race([interrupted, host.failed]);
  if (why) throw why;
  await host.stop();
  return 0;
}
