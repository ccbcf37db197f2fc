// Which drivers a program holds. `board/<part>/chosen.ts` passes the driver of each part to the rest of the
// firmware; the build compiles it with the text below instead, so that no other driver gets into the program.
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import type { NamedBoard } from './boards';
import { BuildError } from './failure';

/** Driver of each part of the board that has a choice of them: a file in the folder of that name. */
export interface Drivers {
  lamps: string;
  adc: string;
  net: string;
  clockChip: string;
}

export const DEFAULT_DRIVERS: Drivers = {
  lamps: 'analogue',
  adc: 'internal',
  net: 'wifi',
  clockChip: 'none',
};

/** Port that a part's drivers implement, and the name of their wiring. */
const PORTS: { [part in keyof Drivers]: { port: string; wiring: string } } = {
  lamps: { port: 'LampPort', wiring: 'AdcWiring' },
  adc: { port: 'AdcPort', wiring: 'AdcWiring' },
  net: { port: 'NetDriver', wiring: 'NetWiring' },
  clockChip: { port: 'ClockChipPort', wiring: 'ChipWiring' },
};
const PARTS = Object.keys(PORTS) as (keyof Drivers)[];

/** Drivers of the program for a board. */
export function driversOf(board: NamedBoard): Drivers {
  const clockChip = board.clockChip?.driver ?? DEFAULT_DRIVERS.clockChip;
  // Modules on a bus need no converter; the analogue way needs one, and its wiring.
  const isBus = board.adc.driver === 'modbus';
  const lamps = isBus ? board.adc.driver : DEFAULT_DRIVERS.lamps;
  const adc = isBus ? DEFAULT_DRIVERS.adc : board.adc.driver;
  return { lamps, adc, net: board.network, clockChip };
}

/** Files of the drivers in the firmware, and the interface of each that describes its wiring. */
export function driverFiles(drivers: Drivers): { file: string; interfaces: string[] }[] {
  // The analogue way has the wiring of its converter.
  const named = PARTS.filter((part) => drivers[part] !== DEFAULT_DRIVERS.lamps);
  return named.map((part) => ({
    file: `board/${part}/${drivers[part]}.ts`,
    interfaces: [PORTS[part].wiring],
  }));
}

function chosen(part: keyof Drivers, driver: string): string {
  const { port, wiring } = PORTS[part];
  return [
    `import type { ${port} } from './port';`,
    `import type * as driver from './${driver}';`,
    `export * from './${driver}';`,
    `type Checked<Driver extends ${port}<driver.${wiring}>> = Driver;`,
    'export type Driver = Checked<typeof driver>;',
    '',
  ].join('\n');
}

/**
 * Texts of every `chosen.ts` for these drivers. They fail to compile if a driver lacks a function of its port.
 * @param firmware folder of the firmware
 * @throws BuildError when there is no such driver.
 */
export function chosenDrivers(firmware: string, drivers: Drivers): { file: string; text: string }[] {
  for (const { file } of driverFiles(drivers))
    if (!existsSync(join(firmware, file))) throw new BuildError(`There is no driver ${file}`);
  return PARTS.map((part) => ({
    file: join(firmware, `board/${part}/chosen.ts`),
    text: chosen(part, drivers[part]),
  }));
}
