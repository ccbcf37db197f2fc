#!/usr/bin/env node
// The command line: `npm run -s nightproof -- <command>`. Each command is loaded when it is asked for.
import { Command, Option } from 'commander';
import { BOARD_NAMES } from '../../firmware/build/boards';
import { MQTT_PORT, PAGE_PORT } from '../serve/ports';
import { CAUTION } from '../words/caution';
import { brokerUrl, DEFAULT_DB, siteArgument, siteOf, whole } from './arguments';
import type { AttendOptions } from './attend';
import type { BaselineAcceptOptions } from './baseline';
import { addCampaign } from './campaignOptions';
import type { CommissionOptions } from './commission';
import { addPlan } from './planOptions';
import type { RepairedOptions } from './repaired';
import { addSimulate } from './simulateFlags';
import { addTrace } from './traceOptions';

interface ServeFlags {
  broker?: string;
  db: string;
  port: number;
  brokerHost: string;
  brokerPort: number;
}

function addCheck(program: Command): void {
  program
    .command('check')
    .description('Check a site file: one sentence per mistake, with file, line, field and what to write.')
    .addArgument(siteArgument())
    .option('--db <file>', 'log book, to tell which accepted lamp currents stand in for those of the file')
    .action(async (file: string, o: { db?: string }) => {
      const { checkCommand } = await import('./check');
      process.exitCode = await checkCommand(file, o.db);
    });
}

function addProfiles(program: Command): void {
  program
    .command('profiles')
    .description('Show the rule profiles: every value with its source, and how far it can be trusted.')
    .argument('[name]', 'one profile; a list of all without it')
    .option('--json', 'print one JSON object and nothing else', false)
    .action(async (name: string | undefined, o: { json: boolean }) => {
      const { profilesCommand } = await import('./profiles');
      process.exitCode = profilesCommand(name, o.json);
    });
}

function addExplore(program: Command): void {
  program
    .command('explore')
    .description(
      'Walk every reachable state of a small configuration of the controller, and hunt broken ones.',
    )
    .option('--json', 'print one JSON object and nothing else', false)
    .action(async (o: { json: boolean }) => {
      const { exploreCommand } = await import('./explore');
      process.exitCode = await exploreCommand(o.json);
    });
}

function addServe(program: Command): void {
  program
    .command('serve')
    .summary('Run the host for real controllers: broker, log book and page.')
    .description(`Run the host for real controllers: broker, log book and page.\n\n${CAUTION}`)
    .addArgument(siteArgument())
    .option(
      '--broker <url>',
      'broker outside, mqtt://host:port; without it the host brings its own',
      brokerUrl,
    )
    .option('--db <file>', 'log book', DEFAULT_DB)
    .option('--port <n>', 'port of the page', whole('--port', 1, 65535), PAGE_PORT)
    .option('--broker-host <address>', 'address the own broker listens on', '127.0.0.1')
    .option(
      '--broker-port <n>',
      'port the own broker listens on',
      whole('--broker-port', 1, 65535),
      MQTT_PORT,
    )
    .action(async (file: string, o: ServeFlags) => {
      const { serveCommand } = await import('./serve');
      process.exitCode = await serveCommand({ site: siteOf(file), siteFile: file, ...o });
    });
}

function addCommission(program: Command): void {
  program
    .command('commission')
    .summary('Make firmware and configuration for one real controller.')
    .description(`Make firmware and configuration for one real controller.\n\n${CAUTION}`)
    .argument('<circuit>', 'circuit the controller is for')
    .addArgument(siteArgument())
    .addOption(new Option('--board <name>', 'kind of board').choices(BOARD_NAMES).default('esp32'))
    .requiredOption('--broker-address <ip>', 'number address of the broker, seen from the controller')
    .option('--broker-port <n>', 'port of the broker', whole('--broker-port', 1, 65535), MQTT_PORT)
    .option('--ssid <name>', 'Wi-Fi network')
    .option('--wifi-password <text>', 'Wi-Fi password')
    .option('--db <file>', 'log book whose site secret the key is made from', DEFAULT_DB)
    .option('--out <folder>', 'where to write', 'commissioning')
    .action(async (circuit: string, file: string, o: Omit<CommissionOptions, 'site' | 'circuit'>) => {
      const { commissionCommand } = await import('./commission');
      process.exitCode = await commissionCommand({ site: siteOf(file), circuit, ...o });
    });
}

function addAttend(program: Command): void {
  program
    .command('attend')
    .summary('Say that somebody is at work on a circuit, so that tests may be started by order.')
    .description(
      `Say that somebody is at work on a circuit, so that tests may be started by order.\n\n${CAUTION}`,
    )
    .addArgument(siteArgument())
    .requiredOption('--circuit <id>', 'circuit meant')
    .requiredOption('--who <name>', 'your name, for the log book')
    .option('--from <time>', 'when it begins, local time as YYYY-MM-DDTHH:MM')
    .option('--to <time>', 'when it ends')
    .option('--cancel', 'call off the window instead', false)
    .option('--db <file>', 'log book', DEFAULT_DB)
    .action(async (file: string, o: Omit<AttendOptions, 'site'>) => {
      const { attendCommand } = await import('./attend');
      process.exitCode = await attendCommand({ site: siteOf(file), ...o });
    });
}

function addRepaired(program: Command): void {
  program
    .command('repaired')
    .summary('Say what was repaired, so that it is tested again soon.')
    .description(`Say what was repaired, so that it is tested again soon.\n\n${CAUTION}`)
    .addArgument(siteArgument())
    .requiredOption('--luminaire <id...>', 'luminaires that were repaired')
    .requiredOption('--who <name>', 'your name, for the log book')
    .option('--what <text>', 'what was done', '')
    .addOption(
      new Option(
        '--retest <kind>',
        'test owed after it; without it the long one where the last long test had failed, else a brief one',
      ).choices(['brief', 'full']),
    )
    .option('--db <file>', 'log book', DEFAULT_DB)
    .action(async (file: string, o: Omit<RepairedOptions, 'site'>) => {
      const { repairedCommand } = await import('./repaired');
      process.exitCode = await repairedCommand({ site: siteOf(file), ...o });
    });
}

function addBaseline(program: Command): void {
  const baseline = program
    .command('baseline')
    .description('The commissioned lamp currents: look at what was measured, and accept it with your name.');
  baseline
    .command('list')
    .description(
      'Show for each luminaire the current of the site file, the one measured, and which is in force.',
    )
    .addArgument(siteArgument())
    .option('--db <file>', 'log book', DEFAULT_DB)
    .action(async (file: string, o: { db: string }) => {
      const { baselineListCommand } = await import('./baseline');
      process.exitCode = await baselineListCommand(siteOf(file), o.db);
    });
  baseline
    .command('accept')
    .description(
      'Accept what the newest complete test of a circuit measured; implausible values are refused.',
    )
    .addArgument(siteArgument())
    .requiredOption('--circuit <id>', 'circuit meant')
    .requiredOption('--who <name>', 'your name, for the log book')
    .option('--luminaire <id...>', 'only these luminaires; all of the circuit without it')
    .option('--db <file>', 'log book', DEFAULT_DB)
    .action(async (file: string, o: Omit<BaselineAcceptOptions, 'site'>) => {
      const { baselineAcceptCommand } = await import('./baseline');
      process.exitCode = await baselineAcceptCommand({ site: siteOf(file), ...o });
    });
}

function addLogbook(program: Command): void {
  program
    .command('logbook')
    .description('Look after the log book.')
    .command('verify')
    .description('Recompute every chain and signature; name the first record that is not as it was written.')
    .option('--db <file>', 'log book', DEFAULT_DB)
    .option('--json', 'print one JSON object and nothing else', false)
    .action(async (o: { db: string; json: boolean }) => {
      const { verifyCommand } = await import('./logbook');
      process.exitCode = verifyCommand(o.db, o.json);
    });
}

function addDemo(program: Command): void {
  program
    .command('demo')
    .summary('Show the whole job on simulated controllers (npm start).')
    .description(`Show the whole job on simulated controllers (npm start).\n\n${CAUTION}`)
    .addArgument(siteArgument())
    .option('--port <n>', 'port of the page', whole('--port', 1, 65535), PAGE_PORT)
    .option('--seed <s>', 'seed of everything random', whole('--seed', 0, 4294967295), 7)
    .option(
      '--pace <n>',
      'simulated seconds per second, instead of a changing pace',
      whole('--pace', 1, 3600),
    )
    .action(async (file: string, o: { port: number; seed: number; pace?: number }) => {
      const { demoCommand } = await import('./demo');
      process.exitCode = await demoCommand({ site: siteOf(file), siteFile: file, ...o });
    });
}

/** The program with all its commands. */
export function nightproof(): Command {
  const program = new Command('nightproof').description(
    'Nightproof: self-test controllers for emergency escape lighting, their host and their simulator.',
  );
  program.showHelpAfterError('Run the command with --help to see its options.');
  addCheck(program);
  addProfiles(program);
  addPlan(program);
  addSimulate(program);
  addExplore(program);
  addCampaign(program);
  addServe(program);
  addCommission(program);
  addAttend(program);
  addRepaired(program);
  addBaseline(program);
  addLogbook(program);
  addTrace(program);
  addDemo(program);
  return program;
}

try {
  await nightproof().parseAsync();
} catch (error) {
  process.stderr.write(`${(error as Error).message}\n`);
  process.exitCode = 1;
}
