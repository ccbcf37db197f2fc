// The options of `serve` for other systems: docs/integrators.md.
import { type Command, InvalidArgumentError, Option } from 'commander';
import type { DoorOptions } from '../serve/doors';
import { tell } from '../serve/tell';
import { hostOption, Mistake, whole } from './arguments';

/** What other systems are given. */
export interface DoorFlags {
  /** First level of the topics of discovery messages. */
  discovery?: string;
  /** Where registers are served by Modbus TCP. */
  modbus?: { host?: string; port: number };
  /** Broker, group and primary host of the Sparkplug node. */
  sparkplug?: string;
  sparkplugGroup: string;
  sparkplugPrimary?: string;
  /** KNX interface, and the file with the table of group addresses. */
  knx?: { host: string; port: number };
  knxAddresses?: string;
}

/** Port of KNXnet/IP. */
const KNX_PORT = 3671;
/** The password at that broker, which is in no command line. */
const PASSWORD = 'SPARKPLUG_PASSWORD';

/** Where platforms listen for discovery messages unless they are told otherwise. */
export const DISCOVERY_PREFIX = 'homeassistant';

export function discoveryPrefix(text: string): string {
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

function sparkplugUrl(text: string): string {
  if (!/^mqtts?:\/\/[^/\s]+$/.test(text))
    throw new InvalidArgumentError('--sparkplug must be a URL such as mqtt://user@192.168.1.9:1883.');
  return text;
}

function sparkplugId(text: string): string {
  if (!/^[^+/#\s]{1,64}$/.test(text))
    throw new InvalidArgumentError(
      'an id of Sparkplug has 1 to 64 characters, none of them "+", "/", "#" or a blank.',
    );
  return text;
}

function knxPlace(text: string): DoorFlags['knx'] {
  const [, host, digits] = /^([A-Za-z0-9.-]+)(?::(\d{1,5}))?$/.exec(text) ?? [];
  const port = Number(digits ?? KNX_PORT);
  if (host === undefined || !(port >= 1 && port <= 65535))
    throw new InvalidArgumentError(
      '--knx takes an IPv4 address or a name, such as 192.168.1.20 or 192.168.1.20:3671.',
    );
  return { host, port };
}

/**
 * The interface with the rows of its table; without a table that can be used a host starts without KNX rather than not at all: the
 * controllers need its broker.
 * @throws Mistake if one is named without the other
 */
async function knxOf(place: DoorFlags['knx'], file?: string): Promise<DoorOptions['knx']> {
  if (place === undefined && file === undefined) return undefined;
  if (place === undefined || file === undefined)
    throw new Mistake('--knx needs --knx-addresses, and the other way round: docs/integrators.md says how.');
  const { readAddresses } = await import('./knxAddresses');
  try {
    return { ...place, rows: readAddresses('--knx-addresses', file) };
  } catch (error) {
    const why = (error as Error).message;
    tell(`The KNX bus is told nothing until the host starts with a table that can be used. ${why}`);
    return undefined;
  }
}

/** Modbus, Sparkplug and KNX as a host takes them, and the other flags. @throws Error with one sentence */
export async function splitDoors<T extends DoorFlags>({
  modbus,
  sparkplug: url,
  sparkplugGroup: group,
  sparkplugPrimary: primary,
  knx: place,
  knxAddresses,
  ...rest
}: T): Promise<{ doors: DoorOptions; rest: Omit<T, Exclude<keyof DoorFlags, 'discovery'>> }> {
  const password = process.env[PASSWORD];
  const more = { ...(password !== undefined && { password }), ...(primary !== undefined && { primary }) };
  const knx = await knxOf(place, knxAddresses);
  const doors = {
    ...(modbus && { modbus }),
    ...(url !== undefined && { sparkplug: { url, group, ...more } }),
    ...(knx && { knx }),
  };
  return { doors, rest };
}

/** `--host` of every command that runs a host. */
export function pageHostOption(): Option {
  return hostOption('--host', 'address the page is served on; beyond this machine by TLS, and with accounts');
}

/** `--alerts`, of every command that runs a host. */
export function alertsOption(): Option {
  return new Option(
    '--alerts <file>',
    'file that says who is told of alarms by mail or webhook (docs/integrators.md)',
  );
}

export function metricsOption(): Option {
  return new Option(
    '--metrics <port>',
    'serve numbers for Prometheus on this port of this machine',
  ).argParser(whole('--metrics', 1, 65535));
}

export function modbusOption(): Option {
  return new Option(
    '--modbus <place>',
    'serve registers to read by Modbus TCP at this port of this machine, or ADDRESS:PORT (docs/modbus.md)',
  ).argParser(modbusPlace);
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
    .addOption(modbusOption())
    .option(
      '--sparkplug <url>',
      `tell everything to a broker as a Sparkplug node; its password from ${PASSWORD} (docs/sparkplug.md)`,
      sparkplugUrl,
    )
    .option('--sparkplug-group <id>', 'group of that node', sparkplugId, 'nightproof')
    .option('--sparkplug-primary <id>', 'host application without which it tells nothing', sparkplugId)
    .option(
      '--knx <place>',
      'tell the state to a KNX bus through the interface at this IPv4 address or name, or HOST:PORT (docs/knx.md)',
      knxPlace,
    )
    .option('--knx-addresses <file>', 'table of its group addresses, as the command knx-addresses writes it');
}
