// The options of `ingest-worker`.
import { type Command, InvalidArgumentError } from 'commander';
import { DEFAULT_DB, siteArgument, siteOf } from './arguments';

function amqpUrl(text: string, before: string[] = []): string[] {
  if (/^amqps?:\/\//.test(text) && URL.canParse(text)) return [...before, text];
  throw new InvalidArgumentError('Write it as amqp://HOST:5672 or amqps://HOST:5671.');
}

export function addIngestWorker(program: Command): void {
  program
    .command('ingest-worker')
    .description('Take records from a queue of RabbitMQ into the log book, beside the host (docs/estate.md).')
    .addArgument(siteArgument())
    .requiredOption(
      '--amqp <url...>',
      'RabbitMQ, amqp://host:port; several nodes of one cluster, tried in turn',
      amqpUrl,
    )
    .option('--db <file>', 'log book file, or postgres:// for one in a database', DEFAULT_DB)
    .action(async (file: string, o: { amqp: string[]; db: string }) => {
      const { ingestWorkerCommand } = await import('./ingestWorker');
      process.exitCode = await ingestWorkerCommand({ site: await siteOf(file), ...o });
    });
}
