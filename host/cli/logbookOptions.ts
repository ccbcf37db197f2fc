// The verbs of `logbook` and their options.
import { type Command, Option } from 'commander';
import { DEFAULT_DB, siteArgument, siteOf } from './arguments';
import type { EvidenceFlags } from './evidence';
import type { VerifyFlags } from './logbook';
import type { CopyFlags } from './logbookCopies';
import type { ProofOptions } from './proof';

const more = (text: string, before: string[]): string[] => [...before, text];

function notedOption(): Option {
  const what =
    'fail unless the log book still contains this root: as printed, alone or as SIZE:ROOT, or a file with a checkpoint; may be repeated';
  return new Option('--noted <root>', what).argParser(more).default([]);
}

function witnessOption(): Option {
  const what = 'verifier key of a witness, to check its signatures; may be repeated';
  return new Option('--witness <key>', what).argParser(more).default([]);
}

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
    .addOption(notedOption())
    .addOption(witnessOption())
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

function addCheckpoint(logbook: Command): void {
  logbook
    .command('checkpoint')
    .description('Print the newest checkpoint: the signed root, the witnesses that signed it, and the key.')
    .option('--db <file>', 'log book file', DEFAULT_DB)
    .action(async (o: { db: string }) => {
      const { checkpointCommand } = await import('./checkpoint');
      process.exitCode = await checkpointCommand(o.db);
    });
}

function addProof(logbook: Command): void {
  logbook
    .command('proof')
    .description(
      'Write the records of a luminaire, and the proof that they are in the log book, as one HTML file that checks itself.',
    )
    .addArgument(siteArgument())
    .requiredOption('--luminaire <id>', 'id of the luminaire')
    .requiredOption('--from <date>', 'first day, local date as YYYY-MM-DD')
    .requiredOption('--to <date>', 'last day')
    .requiredOption('--out <file>', 'new file to write')
    .option('--noted <root>', 'root noted earlier: also prove that nothing before it was changed')
    .option('--db <file>', 'log book file', DEFAULT_DB)
    .action(async (file: string, o: Omit<ProofOptions, 'site'>) => {
      const { proofCommand } = await import('./proof');
      process.exitCode = await proofCommand({ site: await siteOf(file), ...o });
    });
}

function addEvidence(logbook: Command): void {
  logbook
    .command('evidence')
    .description('Check the records that a report contains, saved from it into a folder (docs/reports.md).')
    .argument('<folder>', 'folder with the files of the report')
    .addOption(
      new Option('--noted <root>', 'root at the foot of the sheets, alone or as SIZE:ROOT; may be repeated')
        .argParser(more)
        .default([]),
    )
    .addOption(
      new Option('--witness <key>', 'verifier key of a witness that must have signed; may be repeated')
        .argParser(more)
        .default([]),
    )
    .action(async (folder: string, o: EvidenceFlags) => {
      const { evidenceCommand } = await import('./evidence');
      process.exitCode = await evidenceCommand(folder, o);
    });
}

function addCopies(logbook: Command): void {
  const secret = 'site secret (default: the one beside the log book)';
  logbook
    .command('backup')
    .description(
      'Copy the log book while the host runs, and verify the copy; an existing file is never replaced.',
    )
    .argument('<file>', 'file to write; a new folder with --logbooks')
    .option('--db <file>', 'log book file', DEFAULT_DB)
    .option(
      '--logbooks <folder>',
      'of several buildings: copy all log books in this folder, and the accounts',
    )
    .option('--secret <file>', secret)
    .addOption(notedOption())
    .addOption(witnessOption())
    .action(async (file: string, o: CopyFlags) => {
      const { backupCommand } = await import('./logbookCopies');
      process.exitCode = await backupCommand(file, o);
    });
  logbook
    .command('restore')
    .description('Verify a backup and make it the log book, where there is none; nothing is ever replaced.')
    .argument('<file>', 'backup to restore')
    .option('--db <file>', 'log book file to write', DEFAULT_DB)
    .option('--logbooks <folder>', 'of several buildings: folder to write all log books of a backup to')
    .option('--secret <file>', 'site secret (default: the one beside the new log book, or beside the backup)')
    .addOption(notedOption())
    .addOption(witnessOption())
    .action(async (file: string, o: CopyFlags) => {
      const { restoreCommand } = await import('./logbookCopies');
      process.exitCode = await restoreCommand(file, o);
    });
  logbook
    .command('export')
    .description('Write all entries as text, one JSON object a line, for other programs (docs/operating.md).')
    .argument('<file>', 'file to write')
    .option('--db <file>', 'log book file', DEFAULT_DB)
    .action(async (file: string, o: { db: string }) => {
      const { exportCommand } = await import('./logbookCopies');
      process.exitCode = await exportCommand(file, o.db);
    });
}

export function addLogbook(program: Command): void {
  const logbook = program.command('logbook').description('Check, copy and restore the log book.');
  addVerify(logbook);
  addCheckpoint(logbook);
  addProof(logbook);
  addEvidence(logbook);
  addCopies(logbook);
}
