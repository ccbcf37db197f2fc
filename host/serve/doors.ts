// What other systems get from a host beside the status topics: docs/integrators.md.
import { nowSec } from '../clock';
import type { Knx, KnxPlace } from '../integrators/knx/knx';
import { newRegisters, unitsOf } from '../integrators/modbus/registers';
import { type ModbusPlace, openModbus, startModbus } from '../integrators/modbus/server';
import { newUnits, type Units } from '../integrators/modbus/units';
import type { SparkplugPlace } from '../integrators/sparkplug/node';
import type { StatusListener } from '../integrators/statusBoard';
import type { Ending } from './ending';
import type { OpenBuilding } from './openBuilding';
import { tell } from './tell';

export interface DoorOptions {
  /** Where registers are served by Modbus TCP. */
  modbus?: ModbusPlace;
  /** Broker to which everything is told as a Sparkplug node. */
  sparkplug?: SparkplugPlace;
  /** KNX interface through which the state is told to a bus. */
  knx?: KnxPlace;
}

/** What the listeners are told about. */
function aboutOf({ o, house, clock }: OpenBuilding) {
  const { simulated } = house.view.building();
  return { site: o.site, simulated, now: () => nowSec(clock) };
}

/** @returns none where no node is wanted */
async function openSparkplug(
  place: SparkplugPlace | undefined,
  opened: OpenBuilding,
  ending: Ending,
): Promise<StatusListener[]> {
  if (place === undefined) return [];
  // Its packages are loaded only where it is wanted.
  const { startSparkplug } = await import('../integrators/sparkplug/node');
  const { memory } = opened;
  const node = startSparkplug({ ...aboutOf(opened), place, memory, onProblem: tell });
  ending.add(() => node.close());
  return [node];
}

/** @returns undefined where no bus is told anything */
async function openBus(place: KnxPlace | undefined, ending: Ending): Promise<Knx | undefined> {
  if (place === undefined) return undefined;
  const { openKnx } = await import('../integrators/knx/knx');
  const knx = openKnx({ place, onProblem: tell });
  ending.add(() => knx.close());
  return knx;
}

/** @returns none where no bus is told anything */
function onBus(knx: Knx | undefined, opened: OpenBuilding, ending: Ending): StatusListener[] {
  if (!knx) return [];
  const { site, simulated } = aboutOf(opened);
  const building = knx.of(site, simulated);
  ending.add(() => building.leave());
  return [building];
}

/** Opens those that are wanted for one building. @throws Error with one sentence if one cannot be opened */
export async function openDoors(
  { modbus: place, sparkplug, knx }: DoorOptions,
  opened: OpenBuilding,
  ending: Ending,
): Promise<StatusListener[]> {
  const listeners = [
    ...(await openSparkplug(sparkplug, opened, ending)),
    ...onBus(await openBus(knx, ending), opened, ending),
  ];
  if (place === undefined) return listeners;
  const modbus = await startModbus({ ...aboutOf(opened), place, onProblem: tell });
  ending.add(() => modbus.close());
  return [...listeners, modbus];
}

/** Those of several buildings. */
export interface SharedDoors {
  /** Opens those of a building that is being started. @param index of its site file, from 0 */
  of(index: number, opened: OpenBuilding, ending: Ending): Promise<StatusListener[]>;
}

function registersOf(units: Units, index: number, opened: OpenBuilding, ending: Ending): StatusListener[] {
  const { site, simulated, now } = aboutOf(opened);
  const count = unitsOf(site);
  if (count > 1) {
    tell(
      `${site.name} needs ${count} Modbus units and has one here, so its registers are not served; serve it by itself with --modbus.`,
    );
    return [];
  }
  const registers = newRegisters(site, simulated, now);
  ending.add(units.serve(index + 1, registers));
  return [{ take: registers.take, all: registers.all }];
}

/**
 * Opens what several buildings share: registers at one port with a unit for each, and one connection to a bus. A Sparkplug
 * node has a connection and a death of its own, so each building is one.
 * @param count of buildings
 * @throws Error with one sentence if one cannot be opened
 */
export async function openSharedDoors(
  { modbus: place, sparkplug, knx }: DoorOptions,
  count: number,
  ending: Ending,
): Promise<SharedDoors> {
  const units = place && newUnits(count);
  if (units) {
    const server = await openModbus({ place, source: units, onProblem: tell });
    ending.add(() => server.close());
  }
  const bus = await openBus(knx, ending);
  return {
    async of(index, opened, own) {
      const node = await openSparkplug(sparkplug, opened, own);
      const registers = units ? registersOf(units, index, opened, own) : [];
      return [...node, ...onBus(bus, opened, own), ...registers];
    },
  };
}
