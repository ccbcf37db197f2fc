// The verb `knx-addresses` and its options.
import { type Command, InvalidArgumentError } from 'commander';
import { addressIn } from '../integrators/knx/address';
import type { KnxAddressesOptions } from './knxAddresses';
import { sitesArgument } from './sites';

function groupAddress(text: string): number {
  const address = addressIn(text);
  if (address === undefined)
    throw new InvalidArgumentError('--from takes a group address from 0/0/1 to 31/7/255, such as 5/0/1.');
  return address;
}

export function addKnxAddresses(program: Command): void {
  program
    .command('knx-addresses')
    .description(
      'Write the table of group addresses for serve --knx, or add what is new in the site to it: docs/knx.md.',
    )
    .addArgument(sitesArgument())
    .requiredOption('--out <file>', 'the table; what it holds already keeps its addresses')
    .option(
      '--from <address>',
      'first group address of what is new (default: behind the highest in the table)',
      groupAddress,
    )
    .action(async (paths: string[], o: KnxAddressesOptions) => {
      const { knxAddressesCommand } = await import('./knxAddresses');
      process.exitCode = await knxAddressesCommand(paths, o);
    });
}
