// node --import tsx tests/host/ingest/playRounds.ts [ROUNDS] [SEED]: plays rounds of misfortune and prints what came of it.
import { playRounds } from './rounds';

const report = await playRounds(
  Number(process.argv[2] ?? 500),
  Number(process.argv[3] ?? 1),
  (round, lost) => {
    if (round % 25 === 0) process.stderr.write(`${round} rounds, ${lost} lost\n`);
  },
);
process.stdout.write(`${JSON.stringify(report, undefined, 1)}\n`);
