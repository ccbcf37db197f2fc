// A site through the years of a comparison: tested by its controllers, or by hand if its file says so. The
// failures drawn from the seed and the batteries' margins depend on the luminaire, so two sites with the same
// luminaires share them.
import { drawFailures } from '../../simulator/compare/failures';
import { type AreaUse, type CircuitStory, type Story, storyOf } from '../../simulator/compare/measures';
import type { FaultSpec } from '../../simulator/faults';
import { testByHand } from '../../simulator/people/byHand';
import type { CallOut } from '../../simulator/people/callOut';
import type { LuminaireSpec } from '../../simulator/plant/luminaire';
import { fork } from '../../simulator/random';
import type { FleetSpec } from '../../simulator/spec';
import { seededKeys } from '../keys';
import { presentSpans } from '../planner/cost/occupied';
import { nightAt, noonOf } from '../planner/nights/nights';
import { localDate } from '../site/civil';
import type { ByHand, Circuit, Site } from '../site/model';
import { faultsOf, lampSpec, marginOf, startUtcMs } from './estate';
import { Gathered } from './gathered';
import { longRun } from './longRun';
import { arrivalsOf, workDaysOf } from './workDays';

const DAY_MS = 86_400_000;
/** Beyond the last visit that is due. */
const LONGEST_WAIT_DAYS = 31;

export interface SideOptions {
  site: Site;
  days: number;
  seed: number;
  /** Threads (see LongRunOptions). */
  workers?: number;
  /** Called with the number of further days done. */
  onDays?: (days: number) => void;
}

export interface Side {
  story: Story;
  violations: string[];
}

/**
 * The luminaires of a circuit, with a margin for each, or one for the circuit if they share a central
 * battery.
 */
function lampsOf(circuit: Circuit, seed: number): LuminaireSpec[] {
  return circuit.luminaires.map((lamp) => {
    const own = lamp.chemistry === 'lead-acid' ? `pack ${circuit.id}` : `margin ${lamp.id}`;
    return lampSpec(lamp, marginOf(fork(seed, own)));
  });
}

/** What goes wrong in a circuit: faults from the site file, and faults drawn. */
function allFaults(o: SideOptions, circuit: Circuit): FaultSpec[] {
  const drawn = circuit.luminaires.flatMap(({ id, ratedSec }) =>
    drawFailures(id, ratedSec, o.seed, o.days * DAY_MS),
  );
  return [...faultsOf(o.site, circuit), ...drawn];
}

/** The first morning on which an electrician can come, `repairDays` after a report or later. */
function callOutOf({ site, days }: SideOptions): CallOut {
  const { repairDays } = site.simulation;
  // What is reported on the last day has its visit too, and the building may be shut until then.
  return { afterMs: repairDays * DAY_MS, arrivals: arrivalsOf(site, days + repairDays + LONGEST_WAIT_DAYS) };
}

function areasOf({ site, days }: SideOptions): AreaUse[] {
  const startMs = startUtcMs(site);
  const lamps = site.circuits.flatMap((circuit) => circuit.luminaires);
  return site.areas.map((area) => {
    const present = presentSpans(site, area, startMs / 1000, startMs / 1000 + days * 86400);
    return {
      area: area.id,
      luminaires: lamps.filter(({ serves }) => serves.includes(area.id)).map(({ id }) => id),
      occupied: present.map(({ from, to }) => ({ from: from * 1000 - startMs, to: to * 1000 - startMs })),
    };
  });
}

function storyFrom(
  o: SideOptions,
  circuits: CircuitStory[],
  dayOf: Story['dayOf'],
  isByHand: boolean,
): Story {
  return { circuits, areas: areasOf(o), until: o.days * DAY_MS, dayOf, isByHand };
}

async function byControllers(o: SideOptions): Promise<Side> {
  const { site, seed, days, workers } = o;
  const gathered = new Gathered(site, 0);
  let done = 0;
  const prepare = (fleet: FleetSpec): FleetSpec =>
    gathered.prepare({
      ...fleet,
      chronicle: { callOut: callOutOf(o) },
      controllers: fleet.controllers.map((spec, i) => ({
        ...spec,
        lamps: lampsOf(site.circuits[i], seed),
        faults: allFaults(o, site.circuits[i]),
      })),
    });
  const { violations } = await longRun({
    ...{ site, seed, days, keys: seededKeys(seed), prepare },
    ...(workers !== undefined && { workers }),
    onSpan: (upTo, _heaps, standings) => {
      gathered.take(standings);
      o.onDays?.(upTo - done);
      done = upTo;
    },
  });
  const startSec = startUtcMs(site) / 1000;
  const noon = noonOf(site.timeZone, startSec);
  const dayOf = (_circuit: string, at: number) => String(nightAt(startSec + at / 1000, noon));
  return { story: storyFrom(o, gathered.stories(), dayOf, false), violations };
}

function byElectrician(o: SideOptions, byHand: ByHand): Side {
  const { site, seed, days } = o;
  const startMs = startUtcMs(site);
  const circuits = site.circuits.map((circuit) => ({
    id: circuit.id,
    lamps: lampsOf(circuit, seed),
    faults: allFaults(o, circuit),
  }));
  const chapters = testByHand({
    circuits,
    days: workDaysOf(site, byHand, days),
    rules: {
      walkMs: byHand.walkMinutes * 60_000,
      atOnce: site.openingsAtOnce,
      skipped: byHand.skippedPercent / 100,
      overlooked: byHand.overlookedPercent / 100,
      keyForgotten: byHand.keyForgottenPercent / 100,
      noticedWithinDays: byHand.noticedWithinDays,
    },
    ...{ seed, startUtcMs: startMs, callOut: callOutOf(o), until: days * DAY_MS },
  });
  o.onDays?.(days);
  const dayOf = (_circuit: string, at: number) => localDate(site.timeZone, (startMs + at) / 1000);
  const stories = circuits.map(({ id, lamps }, i) => storyOf(id, lamps, [chapters[i]]));
  return { story: storyFrom(o, stories, dayOf, true), violations: [] };
}

/** Runs the site. The same site, days and seed give the same result on any number of threads. */
export async function runSide(o: SideOptions): Promise<Side> {
  const { byHand } = o.site.simulation;
  return byHand ? byElectrician(o, byHand) : byControllers(o);
}
