// An invented estate of any size, for long simulations without a site file: buildings of four floors, two
// circuits per floor. The same size and seed give the same estate. Nothing in it is real.
import type { ModeWord } from '../../firmware/contract/lamps';
import { fork, nextUnit, type Random } from '../../simulator/random';
import type { Area, Chemistry, Circuit, Luminaire, OpeningHours, PlantedFault, Site } from '../site/model';
import { DEFAULT_STAGGER_SEC } from '../site/resolve';

export interface EstateSize {
  /** Controllers, one per circuit. */
  controllers: number;
  /** Luminaires of each circuit, 1 to 16. */
  luminaires: number;
}

const FLOORS = 4;
const CIRCUITS_PER_FLOOR = 2;
const RATED_SEC = 10800;
/** One in this many luminaires gets a fault at some time. */
const FAULTY_ONE_IN = 25;
/** Days within which the faults of an estate begin. */
const FAULT_DAYS = 3650;
const CHEMISTRIES: Chemistry[] = ['NiCd', 'NiMH', 'LiFePO4'];
const EVERY_DAY = ['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'] as const;
const OPENING: OpeningHours[] = [{ days: [...EVERY_DAY.slice(0, 6)], from: 480, to: 1200 }];

function pick<T>(random: Random, from: readonly T[]): T {
  return from[Math.floor(nextUnit(random) * from.length)];
}

function areaOf(circuit: number): { house: number; floor: number } {
  const storey = Math.floor(circuit / CIRCUITS_PER_FLOOR);
  return { house: Math.floor(storey / FLOORS), floor: storey % FLOORS };
}

function areaName(house: number, floor: number): string {
  return `h${house + 1}-f${floor}`;
}

/** Floors are fire compartments: no escape route leads from one through another. */
function areasOf(circuits: number): Area[] {
  return Array.from({ length: Math.ceil(circuits / CIRCUITS_PER_FLOOR) }, (_, storey) => {
    const { house, floor } = areaOf(storey * CIRCUITS_PER_FLOOR);
    const id = areaName(house, floor);
    return {
      ...{ id, name: `House ${house + 1}, floor ${floor}`, floor: `f${floor}`, adjacent: [] },
      ...{ occupied: OPENING, always: false, sleeping: false },
    };
  });
}

function luminaireOf(id: string, area: string, random: Random): Luminaire {
  const mode: ModeWord = pick(random, ['non-maintained', 'non-maintained', 'maintained', 'combined']);
  const batteryMilliamps = 90 + Math.floor(160 * nextUnit(random));
  return {
    id,
    place: `Place ${id}`,
    area,
    serves: [area],
    mode,
    ratedSec: RATED_SEC,
    batteryMilliamps,
    mainsMilliamps: mode === 'maintained' ? Math.floor(batteryMilliamps * 1.3) : 0,
    chemistry: pick(random, CHEMISTRIES),
    batteryFitted: '2025-06-01',
  };
}

function circuitOf(index: number, count: number, random: Random): Circuit {
  const { house, floor } = areaOf(index);
  const area = areaName(house, floor);
  const letter = 'AB'[index % CIRCUITS_PER_FLOOR];
  return {
    id: `${area}${letter.toLowerCase()}`,
    name: `House ${house + 1}, floor ${floor}, circuit ${letter}`,
    floor: `f${floor}`,
    shared: false,
    alwaysOccupied: false,
    auxiliaryContact: true,
    chargeMilliamps: 0,
    emptySec: 0,
    luminaires: Array.from({ length: count }, (_, i) =>
      luminaireOf(`${area}${letter}-${i + 1}`.toUpperCase(), area, random),
    ),
    areas: [area],
    ratedSec: RATED_SEC,
  };
}

function faultsOf(circuits: Circuit[], random: Random): PlantedFault[] {
  const faults: PlantedFault[] = [];
  for (const { id } of circuits.flatMap((circuit) => circuit.luminaires)) {
    if (nextUnit(random) * FAULTY_ONE_IN >= 1) continue;
    const fromDay = Math.floor(nextUnit(random) * FAULT_DAYS);
    const kind = pick(random, ['dead lamp', 'aged battery', 'charger dead'] as const);
    if (kind === 'aged battery')
      faults.push({ kind, luminaire: id, fromDay, lastsMinutes: 30 + Math.floor(120 * nextUnit(random)) });
    else faults.push({ kind, luminaire: id, fromDay });
  }
  return faults;
}

/** The estate of that size; luminaires, their currents and their faults depend on the seed. */
export function inventedEstate(size: EstateSize, seed: number): Site {
  const random = fork(seed, 'invented estate');
  const circuits = Array.from({ length: size.controllers }, (_, i) => circuitOf(i, size.luminaires, random));
  return {
    id: 'estate',
    name: `Invented estate of ${size.controllers} circuits`,
    timeZone: 'Europe/London',
    profile: 'en50172',
    responsible: 'Nobody',
    windows: [{ days: [...EVERY_DAY], from: 30, to: 330 }],
    opening: OPENING,
    closedDates: [],
    noTestDates: [],
    engineerDays: [...EVERY_DAY],
    staggerSec: DEFAULT_STAGGER_SEC,
    openingsAtOnce: Math.max(4, Math.ceil(size.controllers / 8)),
    floors: Array.from({ length: FLOORS }, (_, i) => ({ id: `f${i}`, name: `Floor ${i}` })),
    areas: areasOf(size.controllers),
    circuits,
    simulation: {
      ...{ start: '2026-01-05T09:00', historyDays: 60, repairDays: 14 },
      faults: faultsOf(circuits, random),
    },
  };
}
