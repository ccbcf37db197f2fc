// `simulate` on the command line.
import { availableParallelism } from 'node:os';
import { type Command, InvalidArgumentError } from 'commander';
import { DEMO_SITE, Mistake, siteArgument, siteOf, whole } from './arguments';
import type { EstateSize } from './inventedEstate';

interface SimulateFlags {
  days?: number;
  years?: number;
  estate?: EstateSize;
  seed: number;
  workers: number;
  db?: string;
  json: boolean;
}

function estateSize(text: string): EstateSize {
  const [controllers, luminaires] = text.split('x').map(Number);
  if (!/^\d+x\d+$/.test(text) || controllers < 1 || controllers > 5000 || luminaires < 1 || luminaires > 16)
    throw new InvalidArgumentError('--estate must be controllers x luminaires, at most 5000x16.');
  return { controllers, luminaires };
}

async function runSimulate(file: string, { days, years, estate, workers, ...o }: SimulateFlags) {
  if ((days === undefined) === (years === undefined))
    throw new Mistake('Say how long with either --days or --years.');
  if (estate && file !== DEMO_SITE) throw new Mistake('Name either a site file or --estate, not both.');
  const { daysOf, simulateCommand } = await import('./simulate');
  const site = estate ? (await import('./inventedEstate')).inventedEstate(estate, o.seed) : siteOf(file);
  // Who wants a log book kept wants the host that keeps it.
  const isAlone = years !== undefined && o.db === undefined;
  const options = { site, days: days ?? daysOf(years as number), ...o };
  process.exitCode = await simulateCommand(options, isAlone ? workers : undefined);
}

/** Adds the command `simulate`. */
export function addSimulate(program: Command): void {
  program
    .command('simulate')
    .description(
      'Run a site as fast as it goes, without a broker, and check every invariant: days with the whole host, ' +
        'or years with every controller by itself on all cores.',
    )
    .addArgument(siteArgument())
    .option('--days <n>', 'simulated days', whole('--days', 1, 36500))
    .option('--years <n>', 'simulated years instead', whole('--years', 1, 100))
    .option('--estate <size>', 'invented estate instead of a site, controllers x luminaires', estateSize)
    .option('--seed <s>', 'seed of everything random', whole('--seed', 0, 4294967295), 1)
    .option(
      '--workers <n>',
      'threads for --years; as many as there are cores without it',
      whole('--workers', 1, 256),
      availableParallelism(),
    )
    .option('--db <file>', 'keep the log book in this new file')
    .option('--json', 'print one JSON object and nothing else', false)
    .action(runSimulate);
}
