#!/usr/bin/env node
// The command line: `npm run -s nightproof -- <command>`. Each command is loaded only when it is used.
import { Command, Option } from 'commander';
import { BOARD_NAMES } from '../../firmware/build/boards';
import { withPasswordAside } from '../logbook/engines/postgres/address';
import { MQTT_PORT, WITNESS_PORT } from '../serve/ports';
import { CAUTION } from '../words/caution';
import { addAccounts } from './accountsOptions';
import { DEFAULT_DB, hostOption, portOption, siteArgument, siteOf, whole } from './arguments';
import type { AttendOptions } from './attend';
import type { BaselineAcceptOptions } from './baseline';
import { addBrokerFiles } from './brokerFilesOptions';
import { addCampaign } from './campaignOptions';
import type { CommissionOptions } from './commission';
import { addContract } from './contractOptions';
import type { DefectsOptions } from './defects';
import { addDemo } from './demoOptions';
import { addDuties } from './dutiesOptions';
import { addImport } from './importOptions';
import { addIngestWorker } from './ingestWorkerOptions';
import { addKnxAddresses } from './knxAddressesOptions';
import { addLabels } from './labelsOptions';
import { addLogbook } from './logbookOptions';
import { addNights } from './nightsOptions';
import type { OutlookOptions } from './outlook';
import { addPlan } from './planOptions';
import type { RepairedOptions } from './repaired';
import { addReport } from './reportOptions';
import { addServe } from './serveOptions';
import { addSimulate } from './simulateFlags';
import { addTrace } from './traceOptions';
import type { WithdrawOptions } from './withdraw';
import type { WitnessOptions } from './witness';

function addCheck(program: Command): void {
  program
    .command('check')
    .summary('Check a site file: each mistake, or what a plan cannot do.')
    .description(
      'Check a site file: for each mistake its file, line and field, and what to write instead; without mistakes, ' +
        'what a plan for a year from today cannot do.\n\nEvery field of the file is in docs/site-file.md.',
    )
    .addArgument(siteArgument())
    .option(
      '--db <file>',
      'log book file, to list accepted lamp currents that replace those in the site file',
    )
    .action(async (file: string, o: { db?: string }) => {
      const { checkCommand } = await import('./check');
      process.exitCode = await checkCommand(file, o.db);
    });
}

function addProfiles(program: Command): void {
  program
    .command('profiles')
    .description('Show the rule profiles: every value with its source and how reliable it is.')
    .argument('[name]', 'name of one profile (default: list them all)')
    .option('--json', 'print a single JSON object', false)
    .action(async (name: string | undefined, o: { json: boolean }) => {
      const { profilesCommand } = await import('./profiles');
      process.exitCode = profilesCommand(name, o.json);
    });
}

function addBoards(program: Command): void {
  program
    .command('boards')
    .description('Show the boards: what each provides, what the program needs, and whether it fits.')
    .action(async () => {
      const { boardsCommand } = await import('./boards');
      process.exitCode = await boardsCommand();
    });
}

function addExplore(program: Command): void {
  program
    .command('explore')
    .description(
      'Visit every reachable state of a small controller configuration and check that broken versions are caught.',
    )
    .option('--json', 'print a single JSON object', false)
    .action(async (o: { json: boolean }) => {
      const { exploreCommand } = await import('./explore');
      process.exitCode = await exploreCommand(o.json);
    });
}

function addWitness(program: Command): void {
  program
    .command('witness')
    .summary('Sign the checkpoints of other log books, and refuse those that contradict earlier ones.')
    .description(
      'Sign the checkpoints of other log books, and refuse those that contradict earlier ones (C2SP tlog-witness).',
    )
    .requiredOption('--log <key...>', 'keys of the log books, as `logbook checkpoint` and the page show them')
    .requiredOption('--name <name>', 'name of this witness without spaces, e.g. example.org/gatehouse')
    .option('--dir <folder>', 'folder that holds its key and all it has seen', '.')
    .addOption(hostOption('--host', 'address it listens on'))
    .addOption(portOption('--port', 'port it listens on', WITNESS_PORT, 0))
    .action(async (o: WitnessOptions) => {
      const { witnessCommand } = await import('./witness');
      process.exitCode = await witnessCommand(o);
    });
}

function addCommission(program: Command): void {
  program
    .command('commission')
    .summary('Build firmware and configuration for one real controller.')
    .description(`Build firmware and configuration for one real controller.\n\n${CAUTION}`)
    .argument('<circuit>', 'circuit the controller is for')
    .addArgument(siteArgument())
    .addOption(new Option('--board <name>', 'type of board').choices(BOARD_NAMES).default('esp32'))
    .requiredOption('--broker-address <ip>', 'IP address of the broker as seen from the controller')
    .addOption(portOption('--broker-port', 'port of the broker', MQTT_PORT))
    .option('--ssid <name>', 'Wi-Fi network')
    .option('--wifi-password <text>', 'Wi-Fi password')
    .option('--clock-chip', 'a battery-backed clock chip is fitted (docs/wiring.md)', false)
    .option(
      '--ip <address>',
      'fixed address of a wired controller, with --mask and --gateway; by DHCP without',
    )
    .option('--mask <address>', 'its network mask')
    .option('--gateway <address>', 'its gateway')
    .option('--db <file>', 'log book file; the key is derived from the site secret beside it', DEFAULT_DB)
    .option('--out <folder>', 'folder to write to', 'commissioning')
    .action(async (circuit: string, file: string, o: Omit<CommissionOptions, 'site' | 'circuit'>) => {
      const { commissionCommand } = await import('./commission');
      process.exitCode = await commissionCommand({ site: await siteOf(file), circuit, ...o });
    });
}

function addAttend(program: Command): void {
  program
    .command('attend')
    .summary('Record that someone is working on a circuit, so tests can be started on demand.')
    .description(
      `Record that someone is working on a circuit, so tests can be started on demand.\n\n${CAUTION}`,
    )
    .addArgument(siteArgument())
    .requiredOption('--circuit <id>', 'circuit id')
    .requiredOption('--who <name>', 'your name, for the log book')
    .option('--from <time>', 'start of the work, local time as YYYY-MM-DDTHH:MM')
    .option('--to <time>', 'end of the work')
    .option('--cancel', 'cancel that period instead', false)
    .option('--db <file>', 'log book file', DEFAULT_DB)
    .action(async (file: string, o: Omit<AttendOptions, 'site'>) => {
      const { attendCommand } = await import('./attend');
      process.exitCode = await attendCommand({ site: await siteOf(file), ...o });
    });
}

function addRepaired(program: Command): void {
  program
    .command('repaired')
    .summary('Report a repair, so the luminaire is tested again soon.')
    .description(`Report a repair, so the luminaire is tested again soon.\n\n${CAUTION}`)
    .addArgument(siteArgument())
    .requiredOption('--luminaire <id...>', 'ids of the repaired luminaires')
    .requiredOption('--who <name>', 'your name, for the log book')
    .addOption(
      new Option('--part <part>', 'what was changed; a charger counts as the driver')
        .choices(['battery', 'lamp', 'driver', 'luminaire', 'other'])
        .makeOptionMandatory(),
    )
    .option('--what <text>', 'what was done, in your own words', '')
    .addOption(
      new Option(
        '--retest <kind>',
        'test to repeat: brief (function test) or full (duration test); default: full; brief with --part other, unless the last duration test failed',
      ).choices(['brief', 'full']),
    )
    .option('--db <file>', 'log book file', DEFAULT_DB)
    .action(async (file: string, o: Omit<RepairedOptions, 'site'>) => {
      const { repairedCommand } = await import('./repaired');
      process.exitCode = await repairedCommand({ site: await siteOf(file), ...o });
    });
}

function addWithdraw(program: Command): void {
  program
    .command('withdraw')
    .description('Withdraw a repair or an inspection that was entered by mistake; it stays in the log book.')
    .addArgument(siteArgument())
    .requiredOption('--entry <n>', 'number of its entry in the log book', whole('--entry', 1, 4294967295))
    .requiredOption('--who <name>', 'your name, for the log book')
    .requiredOption('--why <text>', 'why it is withdrawn')
    .option('--db <file>', 'log book file', DEFAULT_DB)
    .action(async (file: string, o: Omit<WithdrawOptions, 'site'>) => {
      const { withdrawCommand } = await import('./withdraw');
      process.exitCode = await withdrawCommand({ site: await siteOf(file), ...o });
    });
}

function addDefects(program: Command): void {
  program
    .command('defects')
    .summary('List the defects, or enter who sees to one, by when, and the interim measure.')
    .description(
      `List the defects, or enter who sees to one, by when, and what protects people until then.\n\n${CAUTION}`,
    )
    .addArgument(siteArgument())
    .argument('[id]', 'luminaire or circuit (default: all)')
    .option('--owner <name>', 'who sees to it')
    .option('--due <date>', 'local date as YYYY-MM-DD by which it is to be repaired')
    .option('--interim <text>', 'what protects people until then')
    .option('--words <text>', 'anything else, in your own words')
    .option('--who <name>', 'your name, for the log book')
    .option('--closed', 'list closed defects as well', false)
    .option('--json', 'print a single JSON object', false)
    .option('--db <file>', 'log book file', DEFAULT_DB)
    .action(async (file: string, of: string | undefined, o: Omit<DefectsOptions, 'site' | 'of'>) => {
      const { defectsCommand } = await import('./defects');
      process.exitCode = await defectsCommand({
        site: await siteOf(file),
        ...o,
        ...(of !== undefined && { of }),
      });
    });
}

function addBaseline(program: Command): void {
  const baseline = program
    .command('baseline')
    .description('Commissioned lamp currents: show what was measured and accept it under your name.');
  baseline
    .command('list')
    .description('Show the current of each luminaire in the site file, as measured, and which one is in use.')
    .addArgument(siteArgument())
    .option('--db <file>', 'log book file', DEFAULT_DB)
    .action(async (file: string, o: { db: string }) => {
      const { baselineListCommand } = await import('./baseline');
      process.exitCode = await baselineListCommand(await siteOf(file), o.db);
    });
  baseline
    .command('accept')
    .description(
      'Accept the currents measured in the latest complete test of a circuit; implausible values are refused.',
    )
    .addArgument(siteArgument())
    .requiredOption('--circuit <id>', 'circuit id')
    .requiredOption('--who <name>', 'your name, for the log book')
    .option('--luminaire <id...>', 'only these luminaires (default: all on the circuit)')
    .option('--db <file>', 'log book file', DEFAULT_DB)
    .action(async (file: string, o: Omit<BaselineAcceptOptions, 'site'>) => {
      const { baselineAcceptCommand } = await import('./baseline');
      process.exitCode = await baselineAcceptCommand({ site: await siteOf(file), ...o });
    });
}

function addOutlook(program: Command): void {
  program
    .command('outlook')
    .description(
      'Show by when each battery probably no longer lasts its rated duration, and which to change first.',
    )
    .addArgument(siteArgument())
    .option('--db <file>', 'log book file', DEFAULT_DB)
    .option('--by <date>', 'local date as YYYY-MM-DD up to which chances are given (default: in a year)')
    .option('--budget <n>', 'name this many luminaires to change first', whole('--budget', 1, 100_000))
    .option('--json', 'print a single JSON object', false)
    .action(async (file: string, o: Omit<OutlookOptions, 'site'>) => {
      const { outlookCommand } = await import('./outlook');
      process.exitCode = await outlookCommand({ site: await siteOf(file), ...o });
    });
}

/** The program with all its commands. */
export function nightproof(): Command {
  const program = new Command('nightproof').description(
    'Nightproof: self-test controllers for emergency escape lighting, their host and their simulator.',
  );
  program.showHelpAfterError('Run the command with --help to see its options.');
  addImport(program);
  addCheck(program);
  addProfiles(program);
  addBoards(program);
  addPlan(program);
  addNights(program);
  addSimulate(program);
  addExplore(program);
  addCampaign(program);
  addServe(program);
  addIngestWorker(program);
  addAccounts(program);
  addWitness(program);
  addCommission(program);
  addBrokerFiles(program);
  addContract(program);
  addKnxAddresses(program);
  addAttend(program);
  addRepaired(program);
  addDuties(program);
  addWithdraw(program);
  addDefects(program);
  addBaseline(program);
  addOutlook(program);
  addReport(program);
  addLabels(program);
  addLogbook(program);
  addTrace(program);
  addDemo(program);
  return program;
}

// A reader such as `head` may close the pipe before it has read everything, which is no mistake. A full disk is
// one, but the host goes on without its lines.
process.stderr.on('error', () => {});
process.stdout.once('error', (error: NodeJS.ErrnoException) => {
  process.stdout.on('error', () => {});
  if (error.code === 'EPIPE') return;
  process.exitCode = 1;
  process.stderr.write(`The output could not be written (${error.code}); free some room and try again.\n`);
});
try {
  // No message, and no program started from here, shows a password that stands in a log book's URL.
  const given = process.argv.map((argument) => withPasswordAside(argument, process.env));
  await nightproof().parseAsync(given);
} catch (error) {
  process.stderr.write(`${(error as Error).message}\n`);
  process.exitCode = 1;
}
