// The options of `plan`.
import type { Command } from 'commander';
import { CAUTION } from '../words/caution';
import { siteArgument, siteOf, whole } from './arguments';
import type { PlanCommandOptions } from './plan';

/** Longest plan asked for, months. */
const MONTHS_MAX = 60;

/** Adds the command to the program. */
export function addPlan(program: Command): void {
  program
    .command('plan')
    .summary('Show the tests of the coming months, what they cost the people there, and what cannot be done.')
    .description(
      'Show the tests of the coming months, what they cost the people there, and what cannot be done.\n\n' +
        `The plan is made as for a house without test history, and sent to no controller.\n\n${CAUTION}`,
    )
    .addArgument(siteArgument())
    .option('--from <date>', 'first day, local date as YYYY-MM-DD; today without it')
    .option('--months <n>', 'calendar months', whole('--months', 1, MONTHS_MAX), 12)
    .option('--ics <file>', 'write a calendar into this new file')
    .option('--csv <file>', 'write a table into this new file')
    .option(
      '--changes',
      'show instead what a new plan would change for people, by the log book; nothing is sent',
      false,
    )
    .option('--db <file>', 'the log book, for --changes', 'nightproof.db')
    .option('--json', 'print one JSON object and nothing else', false)
    .action(async (file: string, o: Omit<PlanCommandOptions, 'site'>) => {
      const { planCommand } = await import('./plan');
      process.exitCode = await planCommand({ site: siteOf(file), ...o });
    });
}
