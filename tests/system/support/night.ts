// A house at night on an external broker: run fast to just before a duration test, then host and simulated
// controllers on real connections, at a fixed pace.
import { join } from 'node:path';
import { type KeyRing, seededKeys } from '../../../host/keys';
import { openLogbook } from '../../../host/logbook/engines/open';
import { Rehearsal } from '../../../host/rehearse/rehearsal';
import { type Served, serve } from '../../../host/serve/serve';
import { LiveFleet } from '../../../simulator/live';
import type { SimulatedController } from '../../../simulator/node';
import { firstFull, type Lodge } from './lodge';

const SEED = 11;
/** Simulated seconds left before the test may begin. */
const LEAD_SEC = 60;
/** Longer than the controllers' time between two reports at any pace used here, s. */
const HEARTBEAT_SEC = 3600;

export interface NightOptions {
  lodge: Lodge;
  /** Circuit whose first duration test is due that night. */
  circuit: string;
  folder: string;
  broker: { port: number; url: string };
  /** Simulated seconds per second. */
  pace: number;
}

export interface Night {
  db: string;
  keys: KeyRing;
  rehearsal: Rehearsal;
  served: Served;
  node(circuit: string): SimulatedController;
  stop(): Promise<void>;
}

/** True if every record of every controller is acknowledged. */
export function isHandedOver(nodes: SimulatedController[]): boolean {
  return nodes.every(({ controller: c }) => c !== null && c.journal.acked === c.journal.last);
}

/** Runs the house to that point and connects everything; see above. */
export async function startNight(o: NightOptions): Promise<Night> {
  const { site } = o.lodge;
  const db = join(o.folder, 'night.db');
  const keys = seededKeys(SEED);
  const logbook = await openLogbook(db);
  const { slot, days } = firstFull(site, o.circuit);
  const rehearsal = await Rehearsal.start({ site, seed: SEED, days: days + 2, keys, logbook });
  await rehearsal.runDays(days);
  await rehearsal.run((slot.start - LEAD_SEC) * 1000 - rehearsal.fleet.spec.startUtcMs);
  await logbook.close();
  const { served, stop } = await goLive(rehearsal, { ...o, db, keys });
  return {
    ...{ db, keys, rehearsal, served, stop },
    node: (circuit) => rehearsal.fleet.nodes.find((node) => node.spec.circuit === circuit)!,
  };
}

/** The host of a rehearsal's house and its controllers on real connections from now on. */
export async function goLive(
  { fleet }: Rehearsal,
  o: Pick<NightOptions, 'lodge' | 'broker' | 'pace'> & { db: string; keys: KeyRing },
): Promise<Pick<Night, 'served' | 'stop'>> {
  const { site, file } = o.lodge;
  const served = await serve({
    ...{ site, siteFile: file, db: o.db, keys: o.keys, port: 0, broker: o.broker.url, quiet: true },
    ...{ simulated: true, heartbeatSec: HEARTBEAT_SEC, speed: () => o.pace },
    clock: { nowMs: () => fleet.utcMs() },
  });
  const live = new LiveFleet({ fleet, broker: { host: '127.0.0.1', port: o.broker.port }, pace: o.pace });
  return {
    served,
    async stop() {
      live.stop();
      await served.stop();
    },
  };
}
