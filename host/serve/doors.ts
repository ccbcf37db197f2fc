// What other systems get from a host beside the status topics: docs/integrators.md.
import { nowSec } from '../clock';
import { type ModbusPlace, startModbus } from '../integrators/modbus/server';
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
}

/** Opens those that are wanted. @throws Error with one sentence if one cannot be opened */
export async function openDoors(
  { modbus: place, sparkplug }: DoorOptions,
  { o, house, clock, memory }: OpenBuilding,
  ending: Ending,
): Promise<StatusListener[]> {
  const { simulated } = house.view.building();
  const about = { site: o.site, simulated, now: () => nowSec(clock) };
  const listeners: StatusListener[] = [];
  if (place !== undefined) {
    const modbus = await startModbus({ ...about, place, onProblem: tell });
    ending.add(() => modbus.close());
    listeners.push(modbus);
  }
  if (sparkplug !== undefined) {
    // Its packages are loaded only where it is wanted.
    const { startSparkplug } = await import('../integrators/sparkplug/node');
    const node = startSparkplug({ ...about, place: sparkplug, memory, onProblem: tell });
    ending.add(() => node.close());
    listeners.push(node);
  }
  return listeners;
}
