// Which converter driver a program holds. `board/adc/chosen.ts` passes the driver to the rest of the
// firmware; the build compiles it with the text below instead, so that no other driver gets into the program.
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { BuildError } from './failure';

export const DEFAULT_DRIVER = 'internal';

/** Path of a driver's file in the firmware. */
export function driverFile(driver: string): string {
  return `board/adc/${driver}.ts`;
}

/**
 * Text of `board/adc/chosen.ts` for a driver. It fails to compile if the driver lacks a function of the port.
 * @param firmware folder of the firmware
 * @throws BuildError when there is no such driver.
 */
export function chosenDriver(firmware: string, driver: string): { file: string; text: string } {
  if (!existsSync(join(firmware, driverFile(driver))))
    throw new BuildError(`There is no driver ${driverFile(driver)}`);
  const text = [
    "import type { AdcPort } from './port';",
    `import type * as driver from './${driver}';`,
    `export * from './${driver}';`,
    'type Checked<Driver extends AdcPort<driver.AdcWiring>> = Driver;',
    'export type Driver = Checked<typeof driver>;',
    '',
  ].join('\n');
  return { file: join(firmware, 'board/adc/chosen.ts'), text };
}
