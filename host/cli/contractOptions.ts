// The verb `contract` and its options.
import type { Command } from 'commander';
import { siteOf } from './arguments';

export function addContract(program: Command): void {
  program
    .command('contract')
    .description(
      'Write what other systems can read from the host as JSON Schemas, AsyncAPI and OpenAPI: docs/integrators.md.',
    )
    .option('--out <folder>', 'folder to write to', 'contract')
    .option(
      '--site <file>',
      'site file, to write in which registers of Modbus its circuits and luminaires are',
    )
    .action(async ({ out, site: file }: { out: string; site?: string }) => {
      const { contractCommand } = await import('./contract');
      process.exitCode = contractCommand({ out, ...(file !== undefined && { site: await siteOf(file) }) });
    });
}
