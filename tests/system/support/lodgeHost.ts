// The host of the small house by itself, with a log book of its own: no controller reports.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type Served, serve } from '../../../host/serve/serve';
import { buildLodge } from './lodge';

export interface LodgeHost {
  host: Served;
  /** Removed with all that is in it when the host stops. */
  folder: string;
  stop(): Promise<void>;
}

/** @param circuits of the house */
export async function startLodgeHost(circuits: number): Promise<LodgeHost> {
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-lodge-'));
  const { site, file } = buildLodge(folder, circuits, 60);
  const db = join(folder, 'log.db');
  const host = await serve({ site, siteFile: file, db, port: 0, brokerPort: 0, quiet: true });
  return {
    ...{ host, folder },
    async stop() {
      await host.stop();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
