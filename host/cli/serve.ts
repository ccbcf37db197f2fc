// `serve`: only the host, until interrupted.

import { isPostgres } from '../beside';
import type { BrokerTls } from '../broker/secure';
import { readAlertSettings } from '../integrators/alerts/settings';
import type { DoorOptions } from '../serve/doors';
import { serveLasting } from '../serve/lasting';
import { serveSeveral } from '../serve/several';
import { siteFilesOf } from '../serve/siteFiles';
import type { Site } from '../site/model';
import { CAUTION } from '../words/caution';
import { Mistake } from './arguments';
import { interrupted } from './interrupted';

export interface ServeCommandOptions extends DoorOptions {
  discovery?: string;
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
  brokerTls?: BrokerTls;
  shutsReaders?: boolean;
  /** True if ingest workers store the records. */
  workers?: boolean;
  /** File that says who is told of alarms. */
  alerts?: string;
  /** Port of the numbers for Prometheus. */
  metrics?: number;
}

/**
 * Runs until it is interrupted, or has failed.
 * @param alerts file that says who is told of alarms
 * @throws Error why
 */
async function untilInterrupted(
  alerts: string | undefined,
  stop: () => Promise<void>,
  failed: Promise<Error>,
): Promise<number> {
  if (alerts !== undefined) process.stdout.write(`Alarms from now on are sent as ${alerts} says.\n`);
  process.stdout.write(`${CAUTION}\nPress Ctrl-C to stop.\n`);
  const why = await Promise.race([interrupted(), failed]);
  if (why) throw why;
  await stop();
  process.stdout.write('Stopped.\n');
  return 0;
}

/** @returns the exit code. @throws Error with one sentence if a port is taken or the log book is unusable. */
export async function serveCommand({ alerts: file, ...o }: ServeCommandOptions): Promise<number> {
  if (o.workers && (o.broker === undefined || !isPostgres(o.db)))
    throw new Mistake(
      '--workers needs the broker and the log book they work with: --broker, and postgres:// with --db.',
    );
  const alerts = file === undefined ? undefined : readAlertSettings(file);
  const host = await serveLasting({ ...o, ...(alerts && { alerts }) });
  return untilInterrupted(file, () => host.stop(), host.failed);
}

export interface ServeSeveralOptions extends Omit<ServeCommandOptions, 'site' | 'siteFile' | 'db'> {
  /** Site files, or folders of them. */
  paths: string[];
  /** Of the log books. */
  folder: string;
}

/** The same for several buildings. @returns the exit code. @throws Error if a port is taken or none can be served */
export async function serveSeveralCommand({
  alerts: file,
  paths,
  ...o
}: ServeSeveralOptions): Promise<number> {
  const alerts = file === undefined ? undefined : readAlertSettings(file);
  const host = await serveSeveral({ ...o, files: siteFilesOf(paths), ...(alerts && { alerts }) });
  const failed = new Promise<Error>((resolve) => void host.started.catch(resolve));
  return untilInterrupted(file, () => host.stop(), failed);
}
