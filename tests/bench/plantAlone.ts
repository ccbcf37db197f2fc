// What a simulated month costs with everything, and what the circuits alone cost at the very same instants.

import { seededKeys } from '../../host/keys';
import { openLogbook } from '../../host/logbook/engines/open';
import { Rehearsal } from '../../host/rehearse/rehearsal';
import type { Site } from '../../host/site/model';
import { cpuMsSince, Tape } from './tape';

const SEED = 7;

async function wholeRun(site: Site, days: number, tape?: Tape): Promise<number> {
  const logbook = await openLogbook(':memory:');
  const before = process.cpuUsage();
  const rehearsal = await Rehearsal.start({ site, seed: SEED, days, keys: seededKeys(SEED), logbook });
  const { watch } = rehearsal;
  const looks = watch.after.bind(watch);
  if (tape)
    watch.after = (node, now) => {
      looks(node, now);
      tape.after(node, now);
    };
  await rehearsal.runDays(days);
  const took = cpuMsSince(before);
  await logbook.close();
  return took;
}

export interface PlantCost {
  controllerDays: number;
  events: number;
  /** Processor time. */
  wholeMs: number;
  plantMs: number;
}

/** Both costs for `days` days of a site; the better of two runs each. */
export async function measurePlantAlone(site: Site, days: number): Promise<PlantCost> {
  const tape = new Tape();
  await wholeRun(site, days, tape);
  return {
    controllerDays: days * site.circuits.length,
    events: tape.events,
    wholeMs: Math.min(await wholeRun(site, days), await wholeRun(site, days)),
    plantMs: Math.min(tape.play(), tape.play()),
  };
}
