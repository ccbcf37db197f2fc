// The options of `trace` and `replay`.
import type { Command } from 'commander';
import { PAGE_PORT } from '../serve/ports';
import { DEFAULT_DB, siteArgument, siteOf } from './arguments';

/** Adds both commands to the program. */
export function addTrace(program: Command): void {
  const trace = program
    .command('trace')
    .description('Record everything a controller sees during its next test, so the test can be replayed.');
  trace
    .command('order')
    .description('Ask a running host to record a trace: it starts and ends with the next test.')
    .addArgument(siteArgument())
    .requiredOption('--circuit <id>', 'circuit id')
    .requiredOption('--who <name>', 'your name, for the log book')
    .option('--page <url>', "address of the running host's page", `http://127.0.0.1:${PAGE_PORT}`)
    .option(
      '--token-file <file>',
      'file that holds an access token for traces, where the page asks who is there',
    )
    .action(async (file: string, o: { circuit: string; who: string; page: string; tokenFile?: string }) => {
      const { traceOrderCommand } = await import('./trace');
      process.exitCode = await traceOrderCommand({ site: await siteOf(file), ...o });
    });
  trace
    .command('save')
    .description('Save the latest trace of a circuit from the log book to a file.')
    .addArgument(siteArgument())
    .requiredOption('--circuit <id>', 'circuit id')
    .requiredOption('--out <file>', 'file to write')
    .option('--db <file>', 'log book file', DEFAULT_DB)
    .action(async (file: string, o: { circuit: string; out: string; db: string }) => {
      const { traceSaveCommand } = await import('./trace');
      process.exitCode = await traceSaveCommand({ site: await siteOf(file), ...o });
    });
  program
    .command('replay')
    .description(
      'Replay a saved trace: show what the controller decides and whether it decides the same again.',
    )
    .argument('<trace>', 'file written by "trace save"')
    .option('--json', 'print a single JSON object', false)
    .action(async (file: string, o: { json: boolean }) => {
      const { replayCommand } = await import('./trace');
      process.exitCode = replayCommand(file, o.json);
    });
}
