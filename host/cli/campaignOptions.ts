// The options of `campaign`.
import { type Command, InvalidArgumentError } from 'commander';
import { whole } from './arguments';
import type { CampaignCommandOptions } from './campaign';

function runNumber(text: string): { seed: number; run: number } {
  const [seed, run, ...more] = text.split(':');
  if (run === undefined || more.length > 0)
    throw new InvalidArgumentError('--replay must be SEED:RUN, such as 1:4711.');
  return {
    seed: whole('--replay: the seed', 0, 4294967295)(seed),
    run: whole('--replay: the run', 0, 99999999)(run),
  };
}

/** Numbers of incidents, "none" for none. */
function incidentNumbers(text: string): number[] {
  return text === 'none' ? [] : text.split(',').map(whole('--keep: each number', 0, 99999));
}

/** Adds the command to the program. */
export function addCampaign(program: Command): void {
  program
    .command('campaign')
    .description('Run random sites through random faults on all CPU cores and check every invariant.')
    .option(
      '--runs <n>',
      'number of random sites, each with its own faults',
      whole('--runs', 1, 10000000),
      200,
    )
    .option('--seed <s>', 'random seed', whole('--seed', 0, 4294967295), 1)
    .option('--workers <n>', 'number of threads (default: one per CPU core)', whole('--workers', 1, 256))
    .option(
      '--real <n>',
      'one run in this many has the real host, its log book on a failing disk; 0 for none (default: 10)',
      whole('--real', 0, 10000000),
    )
    .option('--core <name>', 'test a deliberately broken controller from the exploration until it is caught')
    .option(
      '--replay <run>',
      'repeat one run, given as SEED:RUN, and list everything that happens',
      runNumber,
    )
    .option('--keep <numbers>', 'in that run, only these faults and orders', incidentNumbers)
    .option('--circuits <names>', 'in that run, only these circuits', (text: string) => text.split(','))
    .option('--lamps <n>', 'in that run, only the first luminaires of each circuit', whole('--lamps', 1, 16))
    .option('--days <n>', 'in that run, only the first days', whole('--days', 1, 36500))
    .option('--json', 'print a single JSON object', false)
    .action(async (o: CampaignCommandOptions) => {
      const { campaignCommand } = await import('./campaign');
      process.exitCode = await campaignCommand(o);
    });
}
