// The verb `contract` and its options.
import type { Command } from 'commander';

export function addContract(program: Command): void {
  program
    .command('contract')
    .description(
      'Write what other systems can read from the host as JSON Schemas, AsyncAPI and OpenAPI: docs/integrators.md.',
    )
    .option('--out <folder>', 'folder to write to', 'contract')
    .action(async (o: { out: string }) => {
      const { contractCommand } = await import('./contract');
      process.exitCode = contractCommand(o);
    });
}
