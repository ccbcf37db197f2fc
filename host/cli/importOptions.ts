// The options of `import`, `export` and `init`.
import type { Command } from 'commander';
import { MILLIAMPS_MAX } from '../site/schema';
import type { BuildingSaid } from '../site/table/building';
import { siteArgument, siteOf, whole } from './arguments';
import type { InitOptions } from './init';

interface TableFlags extends BuildingSaid {
  out: string;
  dryRun: boolean;
  sheet?: string[];
}

/** What a table cannot know of its building. */
export function addBuilding(command: Command): Command {
  return command
    .option('--name <name>', 'name of the building')
    .option('--time-zone <zone>', 'time zone, e.g. Europe/London (default: that of this computer)')
    .option('--profile <name>', 'rule profile, as `profiles` lists them (default: en50172)')
    .option('--responsible <name>', 'person responsible for the emergency lighting')
    .option(
      '--opening <hours>',
      'when people are there, e.g. "mon-fri 08:00-18:00, sat 10:00-14:00", or never (default: mon-sun 07:00-22:00)',
    )
    .option('--window <hours>', 'when the supply may be cut (default: mon-sun 23:00-05:00)');
}

function addInit(program: Command): void {
  addBuilding(
    program
      .command('init')
      .summary('Make a first site file, from questions or from options.')
      .description(
        'Make a first site file, from questions or from options.\n\nAt a terminal it asks for what no option says; elsewhere ' +
          'it says what is missing. From a table of luminaires `import` makes a more complete one.',
      )
      .requiredOption('--out <file>', 'new site file to write')
      .option('--circuit <text...>', 'name of a circuit and its number of luminaires, e.g. "Ground A=12"')
      .option(
        '--battery-ma <n>',
        'lamp current on battery in mA, as measured at most luminaires',
        whole('--battery-ma', 1, MILLIAMPS_MAX),
      )
      .option(
        '--shared <circuit...>',
        'circuits whose relay also switches off normal lighting, or none: they are tested only while nobody is there',
      ),
  ).action(async (o: InitOptions) => {
    const { initCommand } = await import('./init');
    process.exitCode = await initCommand(o);
  });
}

/** Adds the commands to the program. */
export function addImport(program: Command): void {
  addInit(program);
  addBuilding(
    program
      .command('import')
      .summary('Make a site file from a table of luminaires (.xlsx or CSV).')
      .description(
        'Make a site file from a table of luminaires (.xlsx or CSV).\n\n' +
          'Columns in any order, by their titles in the first row: id, circuit and battery mA; shared (does its relay also switch off normal ' +
          'lighting), place, floor, area, mode, minutes, ' +
          'mains mA, chemistry, fitted and others where known. What is missing becomes a default, and every ' +
          'default is listed. Each wrong row gets one sentence, and nothing is written.\n\nOf a spreadsheet it reads the one ' +
          'visible sheet that has these columns.',
      )
      .argument('<table>', 'table with one row per luminaire: .xlsx, or CSV text')
      .requiredOption('--out <file>', 'new site file to write')
      .option('--sheet <name...>', 'sheets of the spreadsheet to read, if several have these columns')
      .option('--dry-run', 'check the table and write nothing', false),
  ).action(async (table: string, o: TableFlags) => {
    const { importCommand } = await import('./import');
    process.exitCode = await importCommand({ table, ...o });
  });
  program
    .command('export')
    .description(
      'Write the luminaires of a site file as a table that `import` takes again: a spreadsheet where the file ends with .xlsx, else CSV.',
    )
    .addArgument(siteArgument())
    .requiredOption('--out <file>', 'new table to write, .xlsx or .csv')
    .action(async (file: string, o: { out: string }) => {
      const { exportCommand } = await import('./import');
      process.exitCode = await exportCommand(siteOf(file), o.out);
    });
}
