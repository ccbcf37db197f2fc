// The options of `nights`.
import type { Command } from 'commander';
import { DEFAULT_DB, siteArgument, siteOf } from './arguments';
import type { NightsOptions } from './nights';

/** Adds the command to the program. */
export function addNights(program: Command): void {
  program
    .command('nights')
    .summary('Show which nights of a month have tests, and where people may be while batteries recharge.')
    .description(
      'Show which nights of a month have tests, and where people may be while batteries recharge.\n\nTakes the plan in ' +
        'force from the log book. Without a log book it shows a forecast, and says so.',
    )
    .addArgument(siteArgument())
    .option('--month <month>', 'month as YYYY-MM (default: next month)')
    .option('--db <file>', 'log book file with the plan in force; without one, a forecast', DEFAULT_DB)
    .option('--json', 'print a single JSON object', false)
    .action(async (file: string, o: Omit<NightsOptions, 'site'>) => {
      const { nightsCommand } = await import('./nights');
      process.exitCode = await nightsCommand({ site: await siteOf(file), ...o });
    });
}
