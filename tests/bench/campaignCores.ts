// How many runs a campaign takes to find each of the explorer's broken cores: the table of docs/campaign.md.
// `node --import tsx tests/bench/campaignCores.ts [runs] [seed] [part of a name]`
import { campaign } from '../../simulator/campaign/campaign';
import { claimOf } from '../../simulator/campaign/shrink';
import { mutants } from '../../simulator/explore/mutants';

const [most = '300', seed = '1', part = ''] = process.argv.slice(2);

for (const mutant of mutants.filter(({ name }) => name.includes(part))) {
  let said = '';
  const { report } = await campaign({
    runs: Number(most),
    seed: Number(seed),
    workers: 1,
    mutant,
    untilBroken: true,
    isLeftLarge: true,
    onRun: (_, violations) => {
      said = violations[0] ?? '';
    },
  });
  const runs = said === '' ? `not in ${report.runs}` : `${report.runs}`;
  process.stdout.write(`| ${mutant.name} | ${runs} | ${said === '' ? '' : claimOf(said)} |\n`);
}
