import { WEEKDAYS } from './civil';
import type { Area, BusModule, Circuit, Luminaire, SimulationSettings, Site, Spot } from './model';
import type { SiteFile } from './schema';

/** Start of the simulation if the site file gives none, local time. */
export const DEFAULT_START = '2026-01-05T09:00';
export const DEFAULT_PROFILE = 'en50172';
/** Circuits discharged together unless the site file says otherwise (common practice, no source). */
export const DEFAULT_AT_ONCE = 4;
/**
 * Time between the starts of circuits that share a night unless the site file says otherwise, s (common
 * practice, no source).
 */
export const DEFAULT_STAGGER_SEC = 600;
/**
 * Seconds without movement that prove an area empty unless the site file says otherwise (common practice, no
 * source).
 */
export const DEFAULT_EMPTY_SEC = 900;
/**
 * Days from the report of a failure to its repair unless the site file says otherwise (common practice, no
 * source).
 */
export const DEFAULT_REPAIR_DAYS = 14;

/** Areas with people day and night, because the area or a circuit that lights it says so. */
function alwaysOccupied(file: SiteFile): Set<string> {
  const said = file.areas.filter((area) => area.alwaysOccupied || area.sleeping).map((area) => area.id);
  const lit = file.circuits.filter((circuit) => circuit.alwaysOccupied).flatMap((c) => c.luminaires);
  return new Set([...said, ...lit.flatMap((lamp) => lamp.serves ?? [lamp.area])]);
}

function resolveAreas(file: SiteFile): Area[] {
  const pairs = file.areas.flatMap(({ id, adjacent = [] }) =>
    adjacent.flatMap((other) => [`${id} ${other}`, `${other} ${id}`]),
  );
  const joined = new Map(file.areas.map(({ id }) => [id, new Set<string>()]));
  for (const pair of pairs) joined.get(pair.split(' ')[0])!.add(pair.split(' ')[1]);
  const places = new Map(file.areas.map(({ id }, i) => [id, i]));
  const always = alwaysOccupied(file);
  return file.areas.map(({ id, name, floor, occupied = file.opening, sleeping = false, wayOut }): Area => {
    const adjacent = [...joined.get(id)!].sort((a, b) => places.get(a)! - places.get(b)!);
    const area: Area = { id, name, floor, adjacent, occupied, always: always.has(id), sleeping };
    if (wayOut !== undefined) area.wayOut = wayOut;
    return area;
  });
}

type FileCircuit = SiteFile['circuits'][number];

function moduleOf(lamp: FileCircuit['luminaires'][number], circuit: FileCircuit): BusModule | undefined {
  if (lamp.module === undefined) return undefined;
  return {
    address: lamp.module,
    register: (lamp.register ?? circuit.register)!,
    milliampsPerCount: (lamp.milliampsPerCount ?? circuit.milliampsPerCount)!,
  };
}

function spotOf({ floorPlan, across, down }: FileCircuit['luminaires'][number]): Spot | undefined {
  return floorPlan === undefined ? undefined : { floorPlan, across: across!, down: down! };
}

function resolveLuminaire(lamp: FileCircuit['luminaires'][number], circuit: FileCircuit): Luminaire {
  const module = moduleOf(lamp, circuit);
  const celsius = lamp.celsius ?? circuit.celsius;
  const spot = spotOf(lamp);
  return {
    id: lamp.id,
    ...(lamp.formerly && { formerly: lamp.formerly }),
    place: lamp.place,
    area: lamp.area,
    serves: [...new Set(lamp.serves ?? [lamp.area])].sort(),
    mode: lamp.mode,
    ratedSec: (lamp.ratedMinutes ?? circuit.ratedMinutes)! * 60,
    batteryMilliamps: lamp.batteryMilliamps,
    mainsMilliamps: lamp.mainsMilliamps ?? 0,
    ...(lamp.currents === 'expected' && { isExpected: true }),
    chemistry: (lamp.chemistry ?? circuit.chemistry)!,
    batteryFitted: (lamp.batteryFitted ?? circuit.batteryFitted)!,
    ...(lamp.batteriesBefore && { batteriesBefore: lamp.batteriesBefore }),
    ...(celsius !== undefined && { celsius }),
    ...(module && { module }),
    ...(spot && { spot }),
  };
}

function resolveCircuit(circuit: FileCircuit): Circuit {
  const luminaires = circuit.luminaires.map((lamp) => resolveLuminaire(lamp, circuit));
  const isOnBus = luminaires.some((lamp) => lamp.module);
  const shared = circuit.shared ?? false;
  return {
    id: circuit.id,
    name: circuit.name,
    floor: circuit.floor,
    shared,
    alwaysOccupied: circuit.alwaysOccupied ?? false,
    auxiliaryContact: circuit.auxiliaryContact ?? false,
    chargeMilliamps: circuit.chargeMilliamps ?? 0,
    emptySec: shared ? (circuit.emptySec ?? DEFAULT_EMPTY_SEC) : 0,
    ...(isOnBus && { bus: circuit.bus ?? {} }),
    luminaires,
    areas: [...new Set(luminaires.flatMap((lamp) => [lamp.area, ...lamp.serves]))].sort(),
    ratedSec: Math.max(...luminaires.map((lamp) => lamp.ratedSec)),
  };
}

/** What the simulator reads, with its defaults. */
export function resolveSimulation(said: SiteFile['simulation']): SimulationSettings {
  const { start = DEFAULT_START, historyDays = 0, faults = [], repairDays, byHand } = said ?? {};
  return {
    ...{ start, historyDays, faults, repairDays: repairDays ?? DEFAULT_REPAIR_DAYS },
    ...(byHand && { byHand }),
  };
}

/** The site described by a file without mistakes: defaults filled in, adjacency made symmetric. */
export function resolveSite(file: SiteFile): Site {
  return {
    id: file.id,
    name: file.name,
    timeZone: file.timeZone,
    profile: file.profile ?? DEFAULT_PROFILE,
    ...(file.complianceSchedule && { complianceSchedule: file.complianceSchedule }),
    ...(file.authorityAgreement && { authorityAgreement: file.authorityAgreement }),
    ...(file.testMore && { testMore: file.testMore }),
    responsible: file.responsible,
    windows: file.testWindows,
    opening: file.opening,
    closedDates: file.closedDates ?? [],
    noTestDates: file.noTestDates ?? [],
    openingsAtOnce: file.openingsAtOnce ?? DEFAULT_AT_ONCE,
    staggerSec: file.staggerSeconds ?? DEFAULT_STAGGER_SEC,
    ...(file.location && { location: file.location }),
    engineerDays: file.engineerDays ?? [...WEEKDAYS],
    ...(file.centralSupply === true && { centralSupply: true }),
    ...(file.witnesses && { witnesses: file.witnesses }),
    ...(file.timeStamps && { timeStamps: file.timeStamps }),
    floors: file.floors,
    ...(file.floorPlans && { floorPlans: file.floorPlans }),
    areas: resolveAreas(file),
    circuits: file.circuits.map(resolveCircuit),
    simulation: resolveSimulation(file.simulation),
  };
}
