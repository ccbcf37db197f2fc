// `ingest-worker`: takes records from a queue of RabbitMQ into the log book, until interrupted.
import { hostLogin, withoutPassword } from '../broker/address';
import { systemClock } from '../clock';
import type { Publish } from '../ingest/answers';
import { createIngest, type Ingest } from '../ingest/ingest';
import { startWorker } from '../ingest/worker';
import { presentKeys } from '../keys';
import { openLogbook } from '../logbook/engines/open';
import { expectOwn } from '../proof/owner';
import type { Site } from '../site/model';
import { interrupted } from './interrupted';

export interface IngestWorkerOptions {
  site: Site;
  /** Nodes of RabbitMQ. */
  amqp: string[];
  db: string;
}

function tell(sentence: string): void {
  process.stderr.write(`${sentence}\n`);
}

/** @returns the exit code. @throws Error with one sentence if log book or secret cannot be used */
export async function ingestWorkerCommand({ site, amqp, db }: IngestWorkerOptions): Promise<number> {
  const keys = presentKeys(db);
  const logbook = await openLogbook(db);
  try {
    await expectOwn(logbook, site, db);
    const own = new Set(site.circuits.map(({ id }) => `${site.id}/${id}`));
    const publish: Publish = (...message) => worker.publish(...message);
    const ingest: Ingest = createIngest({
      ...{ logbook, keys, publish, clock: systemClock, onProblem: tell },
      known: (address) => own.has(address),
    });
    const worker = startWorker(() => ingest, {
      ...{ urls: amqp, site: site.id, onProblem: tell, login: (url: string) => hostLogin(url, keys) },
      onConnect: (url) => process.stdout.write(`Taking records from ${withoutPassword(url)} into ${db}.\n`),
    });
    await interrupted();
    await worker.close();
    const { stored, duplicates } = ingest.counts;
    process.stdout.write(`Stored ${stored} records; ${duplicates} came again.\n`);
    return 0;
  } finally {
    await logbook.close();
  }
}
