// `explore`: every reachable state of a small configuration of the shipped core, and the broken cores that
// must be caught.
import { explore } from '../../simulator/explore/explore';

/** @returns the exit code: 0 if no claim broke and every mutant was caught. */
export async function exploreCommand(json: boolean): Promise<number> {
  const tell = json ? undefined : (line: string) => process.stderr.write(`${line}\n`);
  const { report, findings } = await explore({ onProgress: tell });
  for (const finding of findings) process.stderr.write(`${finding}\n`);
  process.stdout.write(
    json
      ? `${JSON.stringify(report)}\n`
      : `${report.states} states, ${report.transitions} transitions, ${report.violations} claims violated, ` +
          `${report.mutantsCaught} of ${report.mutantsTotal} broken cores caught, ${report.seconds} s.\n`,
  );
  return report.violations === 0 && report.mutantsCaught === report.mutantsTotal ? 0 : 1;
}
