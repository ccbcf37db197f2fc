// Ingest alone, as a process that can be killed: node --import tsx ingestProcess.ts DB URL SITE
import { systemClock } from '../../../host/clock';
import { createIngest, type Ingest } from '../../../host/ingest/ingest';
import { startSubscriber } from '../../../host/ingest/subscriber';
import { openLogbook } from '../../../host/logbook/engines/open';
import { KEYS } from '../logbook/records';

const [db, url, site] = process.argv.slice(2);
const logbook = await openLogbook(db);
const onProblem = (sentence: string): void => void process.stdout.write(`${sentence}\n`);
let ingest: Ingest;
const subscriber = startSubscriber(() => ingest, {
  url,
  site,
  onConnect: () => process.stdout.write('up\n'),
  onProblem,
});
ingest = createIngest({ logbook, keys: KEYS, clock: systemClock, publish: subscriber.publish, onProblem });
