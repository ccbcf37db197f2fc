// The verbs about what people look at, and their options.
import type { Command } from 'commander';
import { DEFAULT_DB, siteArgument, siteOf } from './arguments';
import type { InspectedOptions } from './inspected';

export function addDuties(program: Command): void {
  program
    .command('duties')
    .summary('Show what people must look at and by when, and what they found.')
    .description(
      'Show what people must look at and by when, and what they found.\n\nExit code 1: something is overdue.',
    )
    .addArgument(siteArgument())
    .option('--db <file>', 'log book file', DEFAULT_DB)
    .option('--json', 'print a single JSON object', false)
    .action(async (file: string, o: { db: string; json: boolean }) => {
      const { dutiesCommand } = await import('./duties');
      process.exitCode = await dutiesCommand(await siteOf(file), o.db, o.json);
    });
  program
    .command('inspected')
    .summary('Enter what a person has looked at: a walk, a measurement, a handover.')
    .description(
      'Enter what a person has looked at: a walk, a measurement, a handover.\n\nEach point of the duty needs an answer; ' +
        '`nightproof duties` lists them.',
    )
    .addArgument(siteArgument())
    .requiredOption('--duty <name>', 'which duty, as `nightproof duties` names it')
    .requiredOption('--who <name>', 'your name, for the log book')
    .option('--at <time>', 'when it was done, local time as YYYY-MM-DDTHH:MM (default: now)')
    .option('--area <id>', 'only this area (default: the whole site)')
    .option('--circuit <id>', 'only this circuit')
    .option('--luminaire <id>', 'only this luminaire')
    .option('--found <text...>', 'what is not in order: "POINT LUMINAIRE ...: what was found"', [])
    .option('--not-applicable <point...>', 'points that do not apply here', [])
    .option('--rest-in-order', 'all other points were seen in order', false)
    .option('--words <text>', 'anything else, in your own words', '')
    .option('--db <file>', 'log book file', DEFAULT_DB)
    .action(async (file: string, o: Omit<InspectedOptions, 'site'>) => {
      const { inspectedCommand } = await import('./inspected');
      process.exitCode = await inspectedCommand({ site: await siteOf(file), ...o });
    });
}
