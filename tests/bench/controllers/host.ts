// The whole host of the estate as a process of its own, on the time that the controllers' process tells it. It ends when
// that process does.
import { seededKeys } from '../../../host/keys';
import type { Plan } from '../../../host/planner/plan/plan';
import { serve } from '../../../host/serve/serve';
import { loadSite } from '../../../host/site/load';

export interface HostJob {
  siteFile: string;
  db: string;
  broker: string;
  seed: number;
  /** Simulated seconds per second, at most, and between two reports of a controller. */
  pace: number;
  heartbeatSec: number;
  /** UTC ms at which the simulation begins. */
  startUtcMs: number;
}

/** The time from now on, UTC ms; or the end. */
export type ToHost = { at: number } | 'stop';

/** It works by the time that it was told, and by this plan, if that has changed. */
export interface FromHost {
  plan?: Plan;
}

function say(message: FromHost): void {
  process.send?.(message);
}

async function main(o: HostJob): Promise<void> {
  const loaded = loadSite(o.siteFile);
  if (!('site' in loaded)) throw new Error(`${o.siteFile} has mistakes.`);
  const keys = seededKeys(o.seed);
  let at = o.startUtcMs;
  const served = await serve({
    ...{ site: loaded.site, siteFile: o.siteFile, db: o.db, keys, port: 0, broker: o.broker, quiet: true },
    ...{ simulated: true, heartbeatSec: o.heartbeatSec, speed: () => o.pace, clock: { nowMs: () => at } },
  });
  let told: Plan | undefined;
  const answer = (): void => {
    const plan = served.house.desired.plan()?.plan;
    say(plan !== told ? { plan } : {});
    told = plan;
  };
  process.on('message', async (message: ToHost) => {
    if (message !== 'stop') {
      at = message.at;
      answer();
      return;
    }
    await served.stop();
    process.disconnect();
  });
  answer();
}

process.on('disconnect', () => process.exit());
await main(JSON.parse(process.argv[2]) as HostJob);
