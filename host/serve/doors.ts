// What other systems get from a host beside the status topics: docs/integrators.md.
import { nowSec } from '../clock';
import { type ModbusPlace, startModbus } from '../integrators/modbus/server';
import type { StatusListener } from '../integrators/statusBoard';
import type { Ending } from './ending';
import type { OpenBuilding } from './openBuilding';

export interface DoorOptions {
  /** Where registers are served by Modbus TCP. */
  modbus?: ModbusPlace;
}

/** Opens those that are wanted. @throws Error with one sentence if one cannot be opened */
export async function openDoors(
  { modbus: place }: DoorOptions,
  { o, house, clock }: OpenBuilding,
  ending: Ending,
): Promise<StatusListener[]> {
  const { simulated } = house.view.building();
  const about = { site: o.site, simulated, now: () => nowSec(clock) };
  const listeners: StatusListener[] = [];
  if (place !== undefined) {
    const modbus = await startModbus({ ...about, place });
    ending.add(() => modbus.close());
    listeners.push(modbus);
  }
  return listeners;
}
