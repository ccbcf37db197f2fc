// `serve` and its options.
import type { Command } from 'commander';
import { hasLogbooks } from '../serve/places';
import { MQTT_PORT, MQTTS_PORT, PAGE_PORT } from '../serve/ports';
import { CAUTION } from '../words/caution';
import { brokerUrl, DEFAULT_DB, hostOption, Mistake, portOption, siteOf } from './arguments';
import { type BrokerTlsFlags, brokerClientsOption, brokerTlsOf, brokerTlsOption } from './brokerTls';
import {
  addDoors,
  alertsOption,
  type DoorFlags,
  metricsOption,
  pageHostOption,
  splitDoors,
} from './doorOptions';
import { keepHeapModest } from './modestHeap';
import { DEFAULT_FOLDER, expectNoDb, isOneSite, logbooksOption, sitesArgument } from './sites';

interface ServeFlags extends DoorFlags, BrokerTlsFlags {
  workers: boolean;
  broker?: string;
  db: string;
  logbooks?: string;
  host: string;
  port: number;
  name: string[];
  tlsCert?: string;
  tlsKey?: string;
  brokerHost: string;
  brokerPort: number;
  trustedNetwork: boolean;
  alerts?: string;
  metrics?: number;
}

/** One site file by itself is served as one building, everything else as several. */
async function run(paths: string[], o: ServeFlags, isDbGiven: boolean): Promise<number> {
  keepHeapModest();
  const {
    name: names,
    logbooks,
    db,
    brokerTls: _folder,
    brokerClients: _file,
    brokerTlsPort: _port,
    ...flags
  } = o;
  const { doors, rest: others } = await splitDoors(flags);
  const isOne = isOneSite(paths, logbooks);
  const folder = logbooks ?? DEFAULT_FOLDER;
  const isFirst = async (): Promise<boolean> =>
    isOne ? !(await (await import('../logbook/engines/open')).isLogbookThere(db)) : !hasLogbooks(folder);
  const rest = { ...others, ...(await brokerTlsOf(o, isFirst)) };
  const { serveCommand, serveSeveralCommand } = await import('./serve');
  if (isOne)
    return serveCommand({ site: await siteOf(paths[0]), siteFile: paths[0], names, db, ...rest, ...doors });
  expectNoDb(isDbGiven);
  if (rest.workers) throw new Mistake('--workers is for the log book of one building.');
  return serveSeveralCommand({ ...rest, ...doors, paths, names, folder });
}

export function addServe(program: Command): void {
  const serve = program
    .command('serve')
    .summary('Run the host for real controllers: MQTT broker, log book and page.')
    .description(
      'Run the host for real controllers: MQTT broker, log book and page. Several site files, or a folder of them, are ' +
        `served as several buildings under one page (docs/operating.md).\n\n${CAUTION}`,
    )
    .addArgument(sitesArgument())
    .option('--broker <url>', 'external broker, mqtt://host:port (default: the built-in one)', brokerUrl)
    .option('--db <file>', 'log book file', DEFAULT_DB)
    .addOption(logbooksOption())
    .addOption(pageHostOption())
    .addOption(portOption('--port', 'port of the page', PAGE_PORT))
    .option('--name <name...>', 'names by which devices find this machine, beside its addresses', [])
    .option('--tls-cert <file>', "certificate of the page as PEM, in place of the host's own")
    .option('--tls-key <file>', 'its key as PEM')
    .addOption(hostOption('--broker-host', 'address the built-in broker listens on'))
    .addOption(portOption('--broker-port', 'port the built-in broker listens on', MQTT_PORT))
    .addOption(brokerTlsOption())
    .addOption(brokerClientsOption())
    .addOption(portOption('--broker-tls-port', 'port the built-in broker listens on by TLS', MQTTS_PORT))
    .option(
      '--trusted-network',
      'let in controllers without a password, and anyone who wants to read the notice',
      false,
    )
    .addOption(alertsOption())
    .addOption(metricsOption());
  serve.option(
    '--workers',
    'leave records to ingest workers, and follow the log book (docs/estate.md)',
    false,
  );
  addDoors(serve).action(async (paths: string[], o: ServeFlags, command: Command) => {
    process.exitCode = await run(paths, o, command.getOptionValueSource('db') === 'cli');
  });
  program.command('site-part', { hidden: true }).action(async () => {
    const { sitePartCommand } = await import('./sitePart');
    process.exitCode = await sitePartCommand();
  });
}
