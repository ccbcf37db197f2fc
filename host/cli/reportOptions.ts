// The verb `report` and its options.
import { type Command, Option } from 'commander';
import { DEFAULT_DB, siteArgument, siteOf } from './arguments';
import type { ReportFlags } from './report';

export function addReport(program: Command): void {
  program
    .command('report')
    .summary(
      'Write all results, deviations and defects of a period as a PDF to sign and file, or as a table.',
    )
    .description(
      'Write all results, deviations and defects of a period as a PDF to sign and file, or as a table.\n\n' +
        'The PDF contains the records it rests on. It claims no certification: docs/reports.md.',
    )
    .addArgument(siteArgument())
    .requiredOption('--from <date>', 'first day, local date as YYYY-MM-DD')
    .requiredOption('--to <date>', 'last day')
    .option('--out <file>', 'new PDF to write')
    .option('--csv <file>', 'new table of all results to write, one line for each luminaire and test')
    .option(
      '--luminaire <id>',
      'only this luminaire: its tests with currents, defects, checks and next tests',
    )
    .addOption(new Option('--paper <size>', 'size of the sheets').choices(['a4', 'letter']).default('a4'))
    .option('--db <file>', 'log book file', DEFAULT_DB)
    .action(async (file: string, o: Omit<ReportFlags, 'site'>) => {
      const { reportCommand } = await import('./report');
      process.exitCode = await reportCommand({ site: await siteOf(file), ...o });
    });
  program.command('report-part', { hidden: true }).action(async () => {
    const { reportPartCommand } = await import('./reportPart');
    process.exitCode = await reportPartCommand();
  });
}
