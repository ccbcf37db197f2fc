// What a site file says and a table of luminaires cannot hold.
import type { Area, Circuit, Site } from '../model';
import { DEFAULT_AT_ONCE, DEFAULT_EMPTY_SEC, DEFAULT_STAGGER_SEC, resolveSimulation } from '../resolve';
import { labelOf } from './ids';

const same = (a: unknown, b: unknown) => JSON.stringify(a) === JSON.stringify(b);

/** Fields of a circuit: whether it says something that is not the default. */
export const LOST_OF_CIRCUITS: Record<string, (circuit: Circuit) => boolean> = {
  name: (circuit) => labelOf(circuit) !== circuit.name,
  alwaysOccupied: ({ alwaysOccupied }) => alwaysOccupied,
  auxiliaryContact: ({ auxiliaryContact }) => auxiliaryContact,
  chargeMilliamps: ({ chargeMilliamps }) => chargeMilliamps > 0,
  emptySec: ({ shared, emptySec }) => shared && emptySec !== DEFAULT_EMPTY_SEC,
  bus: ({ bus = {} }) => Object.keys(bus).length > 0,
};

/** The same of an area. */
export const LOST_OF_AREAS: Record<string, (area: Area, site: Site) => boolean> = {
  name: (area) => labelOf(area) !== area.name,
  adjacent: ({ adjacent }) => adjacent.length > 0,
  occupied: ({ always, occupied }, { opening }) => !always && !same(occupied, opening),
  alwaysOccupied: ({ always, sleeping }) => always && !sleeping,
  sleeping: ({ sleeping }) => sleeping,
  wayOut: ({ wayOut }) => wayOut !== undefined,
};

/** The same of the whole site; what options of `import` say is not here. */
export const LOST_OF_SITE: Record<string, (site: Site) => boolean> = {
  complianceSchedule: ({ complianceSchedule }) => complianceSchedule !== undefined,
  authorityAgreement: ({ authorityAgreement }) => authorityAgreement !== undefined,
  testMore: ({ testMore }) => testMore !== undefined,
  closedDates: ({ closedDates }) => closedDates.length > 0,
  noTestDates: ({ noTestDates }) => noTestDates.length > 0,
  openingsAtOnce: ({ openingsAtOnce }) => openingsAtOnce !== DEFAULT_AT_ONCE,
  staggerSeconds: ({ staggerSec }) => staggerSec !== DEFAULT_STAGGER_SEC,
  location: ({ location }) => location !== undefined,
  engineerDays: ({ engineerDays }) => engineerDays.length < 7,
  centralSupply: ({ centralSupply }) => centralSupply === true,
  witnesses: ({ witnesses }) => witnesses !== undefined,
  timeStamps: ({ timeStamps }) => timeStamps !== undefined,
  floorPlans: ({ floorPlans }) => floorPlans !== undefined,
  simulation: ({ simulation }) => !same(simulation, resolveSimulation(undefined)),
};

function counted<T>(all: T[], fields: Record<string, (one: T) => boolean>, what: string): string[] {
  return Object.entries(fields).flatMap(([field, has]) => {
    const n = all.filter(has).length;
    return n === 0 ? [] : [`${field} (${n} ${what}${n === 1 ? '' : 's'})`];
  });
}

/** What a site file made from the site's table would be without, by fields of the site file. */
export function lostOf(site: Site): string[] {
  const ofAreas = Object.entries(LOST_OF_AREAS).map(([field, has]): [string, (area: Area) => boolean] => [
    field,
    (area) => has(area, site),
  ]);
  return [
    ...Object.keys(LOST_OF_SITE).filter((field) => LOST_OF_SITE[field](site)),
    ...counted(site.areas, Object.fromEntries(ofAreas), 'area'),
    ...counted(site.circuits, LOST_OF_CIRCUITS, 'circuit'),
  ];
}
