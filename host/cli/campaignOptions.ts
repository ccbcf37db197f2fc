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
    .description('Run random sites through random faults on all cores, and check every invariant.')
    .option('--runs <n>', 'random sites, each with its faults', whole('--runs', 1, 10000000), 200)
    .option('--seed <s>', 'seed of everything random', whole('--seed', 0, 4294967295), 1)
    .option('--workers <n>', 'threads; as many as there are cores without it', whole('--workers', 1, 256))
    .option('--core <name>', 'a deliberately broken core of the exploration, until it is found out')
    .option('--replay <run>', 'one run again, as SEED:RUN, with all that happens in it', runNumber)
    .option('--keep <numbers>', 'of that run only these faults and orders', incidentNumbers)
    .option('--circuits <names>', 'of that run only these circuits', (text: string) => text.split(','))
    .option('--lamps <n>', 'of that run only the first luminaires of each circuit', whole('--lamps', 1, 16))
    .option('--days <n>', 'of that run only the first days', whole('--days', 1, 36500))
    .option('--json', 'print one JSON object and nothing else', false)
    .action(async (o: CampaignCommandOptions) => {
      const { campaignCommand } = await import('./campaign');
      process.exitCode = await campaignCommand(o);
    });
}
