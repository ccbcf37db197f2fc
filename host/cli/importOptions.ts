// The options of `import`, `export` and `init`.
import { type Command, Option } from 'commander';
import { MILLIAMPS_MAX } from '../site/model';
import { titleLines } from '../site/table/columns';
import { DATE_ORDERS } from '../site/table/dates';
import { siteArgument, siteOf, whole } from './arguments';
import type { ImportOptions } from './import';
import type { InitOptions } from './init';

type TableFlags = Omit<ImportOptions, 'table'>;

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
        "lamp current on battery in mA expected of all luminaires, e.g. of the maker's data; they are not proven until " +
          'somebody accepts what was measured at them',
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

function titlesHelp(): string {
  return [
    '',
    'Titles that are read. A unit may stand behind them: h or min, A or mA.',
    ...titleLines().map((line) => `  ${line}`),
  ].join('\n');
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
          'Columns in any order, by the titles above them: id, circuit and battery mA are needed; shared is whether its relay also ' +
          'switches off normal lighting. What is missing becomes a default, and every ' +
          'default is listed. Each wrong row gets one sentence, and nothing is written. A title that may mean one of ' +
          'the columns stops the import until --column or --ignore-column says. Of a spreadsheet it reads the one ' +
          'visible sheet that has these columns. A ready example: docs/examples/luminaires.csv.',
      )
      .addHelpText('after', titlesHelp)
      .argument('<table>', 'table with one row per luminaire: .xlsx, or CSV text')
      .option('--out <file>', 'site file to write; only --dry-run needs none')
      .option(
        '--replace',
        'write over an existing site file; the old one is kept beside it as FILE.before, FILE.before-2 and so on',
        false,
      )
      .option('--sheet <name...>', 'sheets of the spreadsheet to read, if several have these columns')
      .option('--column <title...>', 'which column a title is, as TITLE=COLUMN, e.g. "Kind of fitting=mode"')
      .option('--ignore-column <title...>', 'titles of columns to leave out')
      .addOption(
        new Option(
          '--dates <order>',
          'how dates such as 12/03/2024 are written, where none of them tells',
        ).choices(DATE_ORDERS),
      )
      .option(
        '--battery-ma <n>',
        "lamp current on battery in mA where the table has none, e.g. of the maker's data; such luminaires are not proven until " +
          'somebody accepts what was measured at them',
        whole('--battery-ma', 1, MILLIAMPS_MAX),
      )
      .option(
        '--mains-ma <n>',
        'the same on mains, for modes that are lit there',
        whole('--mains-ma', 1, MILLIAMPS_MAX),
      )
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
      process.exitCode = await exportCommand(await siteOf(file), o.out);
    });
}
