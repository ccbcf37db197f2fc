// The options of `serve` for other systems: docs/integrators.md.
import { type Command, InvalidArgumentError, Option } from 'commander';

/** What other systems are given. */
export interface DoorFlags {
  /** First level of the topics of discovery messages. */
  discovery?: string;
  /** Where registers are served by Modbus TCP. */
  modbus?: { host?: string; port: number };
}

/** Where platforms listen for discovery messages unless they are told otherwise. */
const DISCOVERY_PREFIX = 'homeassistant';

function discoveryPrefix(text: string): string {
  if (!/^[A-Za-z0-9_-]{1,24}$/.test(text) || text === 'nightproof')
    throw new InvalidArgumentError(
      '--discovery takes one level of a topic, 1 to 24 letters, digits, "-" and "_"; leave it out for homeassistant.',
    );
  return text;
}

function modbusPlace(text: string): DoorFlags['modbus'] {
  const [, bracketed, plain, digits] = /^(?:\[([^\]]+)\]:|([^:]+):)?(\d{1,5})$/.exec(text) ?? [];
  const host = bracketed ?? plain;
  const port = Number(digits);
  if (!(port >= 1 && port <= 65535))
    throw new InvalidArgumentError(
      '--modbus takes a port from 1 to 65535, or an address and a port such as 192.168.1.5:502.',
    );
  return { port, ...(host !== undefined && { host }) };
}

/** Adds them to `serve`. */
export function addDoors(serve: Command): Command {
  return serve
    .addOption(
      new Option(
        '--discovery [prefix]',
        'tell home and building platforms on the broker what there is to show (docs/integrators.md)',
      )
        .preset(DISCOVERY_PREFIX)
        .argParser(discoveryPrefix),
    )
    .option(
      '--modbus <place>',
      'serve registers to read by Modbus TCP at this port of this machine, or ADDRESS:PORT (docs/modbus.md)',
      modbusPlace,
    );
}
