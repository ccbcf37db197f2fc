// The options of `plan`.
import type { Command } from 'commander';
import { CAUTION } from '../words/caution';
import { siteArgument, siteOf, whole } from './arguments';
import type { PlanCommandOptions } from './plan';

/** Longest plan that can be requested, months. */
const MONTHS_MAX = 60;

/** Adds the command to the program. */
export function addPlan(program: Command): void {
  program
    .command('plan')
    .summary(
      'Show the tests of the coming months, the reduced cover they cause, and what cannot be done in time.',
    )
    .description(
      'Show the tests of the coming months, the reduced cover they cause, and what cannot be done in time.\n\n' +
        'It is a forecast for a building without test history, and no controller gets it. Once the host has started, ' +
        `\`nightproof nights\` shows the nights of the plan in force.\n\n${CAUTION}`,
    )
    .addArgument(siteArgument())
    .option('--from <date>', 'first day, local date as YYYY-MM-DD (default: today)')
    .option(
      '--months <n>',
      'number of calendar months to show; fewer than 12 are taken from a plan of 12',
      whole('--months', 1, MONTHS_MAX),
      12,
    )
    .option('--ics <file>', 'write a calendar to this new file')
    .option('--csv <file>', 'write a table to this new file')
    .option(
      '--changes',
      'show instead what a new plan would change from the one in the log book; nothing is sent',
      false,
    )
    .option('--db <file>', 'log book file, for --changes', 'nightproof.db')
    .option('--all', 'name every circuit and area of what cannot be done', false)
    .option('--json', 'print a single JSON object', false)
    .action(async (file: string, o: Omit<PlanCommandOptions, 'site'>) => {
      const { planCommand } = await import('./plan');
      process.exitCode = await planCommand({ site: await siteOf(file), ...o });
    });
}
