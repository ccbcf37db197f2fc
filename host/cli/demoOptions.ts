// `demo` and its options.
import type { Command } from 'commander';
import { PAGE_PORT } from '../serve/ports';
import { CAUTION } from '../words/caution';
import { portOption, siteArgument, siteOf, whole } from './arguments';
import type { DemoFlags } from './demo';
import { alertsOption, metricsOption, modbusOption } from './doorOptions';

export function addDemo(program: Command): void {
  program
    .command('demo')
    .summary('Demonstrate everything on simulated controllers (npm start).')
    .description(`Demonstrate everything on simulated controllers (npm start).\n\n${CAUTION}`)
    .addArgument(siteArgument())
    .option(
      '--host [address]',
      'address the page is served on; beyond this machine by TLS, and with accounts; without a value the one that phones reach',
      '127.0.0.1',
    )
    .addOption(portOption('--port', 'port of the page', PAGE_PORT))
    .addOption(portOption('--broker-port', 'port of its MQTT broker on this machine (default: any free one)'))
    .option('--reader <name>', 'name of the MQTT reader whose user and password are printed', 'desk')
    .addOption(alertsOption())
    .addOption(metricsOption())
    .addOption(modbusOption())
    .option('--seed <s>', 'random seed', whole('--seed', 0, 4294967295), 7)
    .option(
      '--pace <n>',
      'simulated seconds per second, 1 to 3600 (default: varying)',
      whole('--pace', 1, 3600),
    )
    .action(async (file: string, o: DemoFlags) => {
      const { demoCommand } = await import('./demo');
      process.exitCode = await demoCommand({ site: await siteOf(file), siteFile: file, ...o });
    });
}
