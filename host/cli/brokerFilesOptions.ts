// The verb `broker-files` and its options.
import type { Command } from 'commander';
import { MQTT_PORT } from '../serve/ports';
import { DEFAULT_DB, hostOption, portOption, siteArgument, siteOf } from './arguments';
import type { BrokerFilesOptions } from './brokerFiles';
import { DISCOVERY_PREFIX, discoveryPrefix } from './doorOptions';

export function addBrokerFiles(program: Command): void {
  program
    .command('broker-files')
    .description(
      'Write files for Mosquitto: who may log in with which password, and what each may read and send.',
    )
    .addArgument(siteArgument())
    .requiredOption('--out <folder>', 'folder to write to')
    .option(
      '--reader <name...>',
      'displays and other systems that may read, each with a password of its own',
      [],
    )
    .option(
      '--platform <name...>',
      'platforms that find everything by the messages of serve --discovery, each with a password of its own',
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
    .addOption(portOption('--tls-port', 'port it is to listen on for them', 8883))
    .option(
      '--db <file>',
      'log book file; the passwords are derived from the site secret beside it',
      DEFAULT_DB,
    )
    .action(async (file: string, o: Omit<BrokerFilesOptions, 'site' | 'siteFile'>) => {
      const { brokerFilesCommand } = await import('./brokerFiles');
      process.exitCode = await brokerFilesCommand({ site: await siteOf(file), siteFile: file, ...o });
    });
}
