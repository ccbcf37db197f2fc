// The verbs of `logbook` and their options.
import type { Command } from 'commander';
import { DEFAULT_DB } from './arguments';
import type { VerifyFlags } from './logbook';

const more = (text: string, before: string[]): string[] => [...before, text];

function addVerify(logbook: Command): void {
  logbook
    .command('verify')
    .summary('Check every entry, chain, signature and checkpoint, and the file itself; list every fault.')
    .description(
      'Check every entry, chain, signature and checkpoint, and the file itself; list every fault.\n\n' +
        'Exit code 0: whole. 1: damaged, or there is nothing to check. 2: whole as far as it could be checked.',
    )
    .option('--db <file>', 'log book file', DEFAULT_DB)
    .option('--site <file>', 'site file, to name luminaires and nights')
    .option('--secret <file>', 'site secret (default: the one beside the log book)')
    .option(
      '--noted <root>',
      'fail unless the log book still contains this root: as printed, alone or as SIZE:ROOT, or a file with a checkpoint; may be repeated',
      more,
      [] as string[],
    )
    .option(
      '--witness <key>',
      'verifier key of a witness, to check its signatures; may be repeated',
      more,
      [],
    )
    .option('--json', 'print a single JSON object', false)
    .action(async (o: VerifyFlags) => {
      const { verifyCommand } = await import('./logbook');
      process.exitCode = await verifyCommand(o);
    });
  logbook
    .command('verify-part', { hidden: true })
    .argument('<orders>')
    .action(async (orders: string) => {
      const { verifyPartCommand } = await import('./verifyPart');
      process.exitCode = await verifyPartCommand(orders);
    });
}

export function addLogbook(program: Command): void {
  const logbook = program.command('logbook').description('Check, copy and restore the log book.');
  addVerify(logbook);
}
