// `serve`: only the host, until interrupted.

import { serve } from '../serve/serve';
import type { Site } from '../site/model';
import { CAUTION } from '../words/caution';

export interface ServeCommandOptions {
  site: Site;
  siteFile: string;
  broker?: string;
  db: string;
  port: number;
  brokerHost?: string;
  brokerPort?: number;
}

/** @returns the exit code. @throws Error with one sentence if a port is taken or the log book is unusable. */
export async function serveCommand(o: ServeCommandOptions): Promise<number> {
  const served = await serve(o);
  process.stdout.write(`${CAUTION}\nPress Ctrl-C to stop.\n`);
  await new Promise<void>((resolve) => {
    process.once('SIGINT', resolve);
    process.once('SIGTERM', resolve);
  });
  await served.stop();
  return 0;
}
