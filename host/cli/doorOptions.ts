// The options of `serve` for other systems: docs/integrators.md.
import { type Command, InvalidArgumentError, Option } from 'commander';

/** What other systems are given. */
export interface DoorFlags {
  /** First level of the topics of discovery messages. */
  discovery?: string;
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

/** Adds them to `serve`. */
export function addDoors(serve: Command): Command {
  return serve.addOption(
    new Option(
      '--discovery [prefix]',
      'tell home and building platforms on the broker what there is to show (docs/integrators.md)',
    )
      .preset(DISCOVERY_PREFIX)
      .argParser(discoveryPrefix),
  );
}
