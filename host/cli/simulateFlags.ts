// `simulate` on the command line.
import { type Command, InvalidArgumentError } from 'commander';
import type { EstateSize } from '../rehearse/inventedEstate';
import { brokerUrl, DEMO_SITE, Mistake, siteArgument, siteOf, whole } from './arguments';
import type { Named } from './compare';

/** Years of a comparison if not given. */
const COMPARE_YEARS = 5;
/** Longest run on a broker, days: after that the host makes a new plan, which the watch would not know. */
const BROKER_DAYS_MAX = 300;

interface SimulateFlags {
  days?: number;
  years?: number;
  estate?: EstateSize;
  compare?: string[];
  seeds?: number;
  seed: number;
  workers?: number;
  svg?: string;
  db?: string;
  broker?: string;
  pace?: number;
  json: boolean;
  verbose: boolean;
}

function estateSize(text: string): EstateSize {
  const [controllers, luminaires] = text.split('x').map(Number);
  if (!/^\d+x\d+$/.test(text) || controllers < 1 || controllers > 5000 || luminaires < 1 || luminaires > 16)
    throw new InvalidArgumentError('--estate must be CONTROLLERSxLUMINAIRES, at most 5000x16.');
  return { controllers, luminaires };
}

/** @throws Mistake if the options do not fit together. */
function checkFlags(
  file: string,
  { days, years, estate, broker, pace, db, svg, seeds }: SimulateFlags,
): void {
  if ((days === undefined) === (years === undefined))
    throw new Mistake('Give the length with either --days or --years.');
  if (estate && file !== DEMO_SITE) throw new Mistake('Give either a site file or --estate, not both.');
  if (years !== undefined && (db !== undefined || broker !== undefined))
    throw new Mistake('--years runs without log book and broker: use --days with --db and --broker.');
  if (svg !== undefined && years === undefined)
    throw new Mistake('--svg draws years: use it with --years or --compare.');
  if (seeds !== undefined) throw new Mistake('--seeds repeats a comparison: use it with --compare.');
  if (pace !== undefined && broker === undefined)
    throw new Mistake('--pace needs --broker; without a broker the simulation runs as fast as it can.');
  if (broker !== undefined && (days as number) > BROKER_DAYS_MAX)
    throw new Mistake(`With --broker, at most ${BROKER_DAYS_MAX} days can be simulated.`);
}

/** @throws Mistake if an option does not fit a comparison. */
function checkComparison(
  file: string,
  { compare = [], estate, db, broker, pace, days, years }: SimulateFlags,
): void {
  if (compare.length < 2 || compare.length > 4 || file !== DEMO_SITE)
    throw new Mistake('--compare takes two to four site files: --compare A.yaml B.yaml.');
  if (estate !== undefined || db !== undefined || broker !== undefined || pace !== undefined)
    throw new Mistake(
      '--compare takes site files and cannot be used with --estate, --db, --broker or --pace.',
    );
  if (days !== undefined && years !== undefined)
    throw new Mistake('Give the length with either --days or --years.');
}

async function runCompare(file: string, flags: SimulateFlags): Promise<void> {
  checkComparison(file, flags);
  const { days, years = COMPARE_YEARS, compare = [], seed, seeds = 1, workers, json, svg } = flags;
  const sides: Named[] = [];
  for (const file of compare) sides.push({ file, site: await siteOf(file) });
  const { daysOf } = await import('./simulate');
  const { compareCommand } = await import('./compare');
  process.exitCode = await compareCommand({
    ...{ sides, days: days ?? daysOf(years), json },
    seeds: Array.from({ length: seeds }, (_, i) => seed + i),
    ...(workers !== undefined && { workers }),
    ...(svg !== undefined && { svg }),
  });
}

async function runSimulate(file: string, flags: SimulateFlags): Promise<void> {
  if (flags.svg !== undefined) (await import('./pictureFile')).tryPictureFile(flags.svg);
  if (flags.compare) return runCompare(file, flags);
  checkFlags(file, flags);
  const { days, years, estate, workers, broker, pace, ...o } = flags;
  const { daysOf, simulateCommand } = await import('./simulate');
  const site = estate
    ? (await import('../rehearse/inventedEstate')).inventedEstate(estate, o.seed)
    : await siteOf(file);
  if (site.simulation.byHand)
    throw new Mistake(
      `${file} is tested by hand, so there is no controller to simulate; use it with --compare.`,
    );
  process.exitCode = await simulateCommand({
    ...{ site, days: days ?? daysOf(years as number), ...o },
    isAlone: years !== undefined,
    ...(workers !== undefined && { workers }),
    ...(broker !== undefined && {
      broker: { url: broker, siteFile: file, ...(pace !== undefined && { pace }) },
    }),
  });
}

/** Adds the command `simulate`. */
export function addSimulate(program: Command): void {
  program
    .command('simulate')
    .description(
      'Simulate a site as fast as possible and check every invariant: days with the complete host, or years with ' +
        'each controller on its own, on all CPU cores.',
    )
    .addArgument(siteArgument())
    .option('--days <n>', 'number of days to simulate', whole('--days', 1, 36500))
    .option('--years <n>', 'number of years to simulate instead', whole('--years', 1, 100))
    .option('--estate <size>', 'a made-up estate instead of a site, CONTROLLERSxLUMINAIRES', estateSize)
    .option(
      '--compare <site...>',
      'run two to four site files side by side through the same years and failures (default: 5 years)',
    )
    .option(
      '--seeds <n>',
      'with --compare: repeat with so many seeds, from --seed on',
      whole('--seeds', 1, 10000),
    )
    .option('--svg <file>', "with --years or --compare: draw the last year's tests and discharge curves")
    .option('--seed <s>', 'random seed', whole('--seed', 0, 4294967295), 1)
    .option(
      '--workers <n>',
      'number of threads for --years (default: one per CPU core, fewer for a short run)',
      whole('--workers', 1, 256),
    )
    .option('--db <file>', 'keep the log book in this new file')
    .option(
      '--broker <url>',
      'connect to this broker, which must let anybody in, as real MQTT clients with a host of their own, mqtt://host:port',
      brokerUrl,
    )
    .option(
      '--pace <n>',
      'with --broker: simulated seconds per second, 1 to 3600 (default: varying)',
      whole('--pace', 1, 3600),
    )
    .option('--json', 'print a single JSON object', false)
    .option('--verbose', 'also print the speed, and a hash of all records, to compare two runs', false)
    .action(runSimulate);
}
