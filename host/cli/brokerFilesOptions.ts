// The verb `broker-files` and its options.
import type { Command } from 'commander';
import { MQTT_PORT, MQTTS_PORT } from '../serve/ports';
import { DEFAULT_DB, hostOption, portOption, siteOf } from './arguments';
import type { BrokerFilesOptions } from './brokerFiles';
import { DISCOVERY_PREFIX, discoveryPrefix } from './doorOptions';
import { DEFAULT_FOLDER, expectNoDb, isOneSite, logbooksOption, sitesArgument } from './sites';

type Flags = Omit<BrokerFilesOptions, 'buildings' | 'isShared' | 'restart'> & {
  db: string;
  logbooks?: string;
};

/** The buildings with their log books, as `serve` takes them. */
async function run(paths: string[], { db, logbooks, ...o }: Flags, isDbGiven: boolean): Promise<number> {
  const { brokerFilesCommand } = await import('./brokerFiles');
  if (isOneSite(paths, logbooks)) {
    const [file] = paths;
    const buildings = [{ site: await siteOf(file), file, db }];
    return brokerFilesCommand({ ...o, buildings, isShared: false, restart: `${file} --db ${db}` });
  }
  expectNoDb(isDbGiven);
  const folder = logbooks ?? DEFAULT_FOLDER;
  const { bookIn } = await import('../serve/places');
  const { siteFilesOf } = await import('../serve/siteFiles');
  const buildings: BrokerFilesOptions['buildings'] = [];
  for (const file of siteFilesOf(paths)) {
    const site = await siteOf(file);
    buildings.push({ site, file, db: bookIn(folder, site.id) });
  }
  const restart = `${paths.join(' ')} --logbooks ${folder}`;
  return brokerFilesCommand({ ...o, buildings, isShared: true, restart });
}

export function addBrokerFiles(program: Command): void {
  program
    .command('broker-files')
    .description(
      'Write files for Mosquitto: who may log in with which password, and what each may read and send.',
    )
    .addArgument(sitesArgument())
    .requiredOption('--out <folder>', 'folder to write to')
    .option(
      '--reader <name...>',
      'displays and other systems that may read, each with a password of its own; of several buildings all, or one as SITE/NAME',
      [],
    )
    .option(
      '--platform <name...>',
      'platforms that find everything by the messages of serve --discovery, named in the same way',
      [],
    )
    .option(
      '--discovery <prefix>',
      'first level of the topics of those messages, as serve has it',
      discoveryPrefix,
      DISCOVERY_PREFIX,
    )
    .addOption(hostOption('--broker-host', 'address Mosquitto is to listen on'))
    .addOption(portOption('--broker-port', 'port it is to listen on', MQTT_PORT))
    .option(
      '--tls <folder>',
      'folder with ca.pem, broker.pem and broker.key: listen for clients that show a certificate too',
    )
    .addOption(portOption('--tls-port', 'port it is to listen on for them', MQTTS_PORT))
    .option(
      '--db <file>',
      'log book file; the passwords are derived from the site secret beside it',
      DEFAULT_DB,
    )
    .addOption(logbooksOption())
    .action(async (paths: string[], o: Flags, command: Command) => {
      process.exitCode = await run(paths, o, command.getOptionValueSource('db') === 'cli');
    });
}
