// The options of `trace` and `replay`.
import type { Command } from 'commander';
import { PAGE_PORT } from '../serve/ports';
import { DEFAULT_DB, siteArgument, siteOf } from './arguments';

/** Adds both commands to the program. */
export function addTrace(program: Command): void {
  const trace = program
    .command('trace')
    .description('What a controller is given around its next test, taken down so that it can be run again.');
  trace
    .command('order')
    .description('Have a running host order the trace: it begins with the next test and ends with it.')
    .addArgument(siteArgument())
    .requiredOption('--circuit <id>', 'circuit meant')
    .requiredOption('--who <name>', 'your name, for the log book')
    .option('--page <url>', "address of the running host's page", `http://127.0.0.1:${PAGE_PORT}`)
    .action(async (file: string, o: { circuit: string; who: string; page: string }) => {
      const { traceOrderCommand } = await import('./trace');
      process.exitCode = await traceOrderCommand({ site: siteOf(file), ...o });
    });
  trace
    .command('save')
    .description('Save the newest trace of a circuit from the log book.')
    .addArgument(siteArgument())
    .requiredOption('--circuit <id>', 'circuit meant')
    .requiredOption('--out <file>', 'file to write')
    .option('--db <file>', 'log book', DEFAULT_DB)
    .action(async (file: string, o: { circuit: string; out: string; db: string }) => {
      const { traceSaveCommand } = await import('./trace');
      process.exitCode = await traceSaveCommand({ site: siteOf(file), ...o });
    });
  program
    .command('replay')
    .description('Run the controller again on a saved trace: what it decides, and whether that is the same.')
    .argument('<trace>', 'file that "trace save" wrote')
    .option('--json', 'print one JSON object and nothing else', false)
    .action(async (file: string, o: { json: boolean }) => {
      const { replayCommand } = await import('./trace');
      process.exitCode = replayCommand(file, o.json);
    });
}
