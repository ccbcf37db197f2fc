// The host of a campaign as a process that can be killed: real ingest, real orders, a real log book in a file. Only
// the wire and the time come from its parent.

import { ORDER_SEC } from '../../../simulator/campaign/desk';
import type { Desired } from '../../ingest/answers';
import { createIngest } from '../../ingest/ingest';
import { openKeys, secretFileOf } from '../../keys';
import { lockLogbook, openLogbook } from '../../logbook/engines/open';
import type { Logbook } from '../../logbook/logbook';
import { createOrders, sendAgain } from '../../orders/orders';
import { CANNOT_START, type HostJob, type HostPlace, type HostWord } from './words';

const time = { utcMs: 0, upMs: 0 };
const timers: { at: number; work: () => void }[] = [];

/** Timers of the host go by the run's time: they are looked at before each job. */
function wind(): void {
  const simulated = (work: () => void, ms = 0) => {
    const timer = { at: time.upMs + ms, work };
    timers.push(timer);
    return timer;
  };
  const clear = (timer: { at: number }) => {
    timer.at = Number.POSITIVE_INFINITY;
  };
  Object.assign(globalThis, { setTimeout: simulated, clearTimeout: clear });
}

function runTimers(): void {
  const due = timers.filter(({ at }) => at <= time.upMs);
  timers.splice(
    0,
    timers.length,
    ...timers.filter(({ at }) => at > time.upMs && at < Number.POSITIVE_INFINITY),
  );
  for (const { work } of due) work();
}

function say(word: HostWord): void {
  process.send?.(word);
}

/** Opens the log book as `serve` does, or says why not. */
async function open(db: string): Promise<Logbook> {
  try {
    await lockLogbook(db);
    const logbook = await openLogbook(db);
    await logbook.mark(true);
    return logbook;
  } catch (error) {
    await new Promise((resolve) => process.send?.({ problem: (error as Error).message }, resolve));
    process.exit(CANNOT_START);
  }
}

function play(logbook: Logbook, db: string): (job: HostJob) => Promise<void> {
  const keys = openKeys(secretFileOf(db));
  const clock = { nowMs: () => time.utcMs, upMs: () => time.upMs };
  let desired: { [address: string]: Desired } = {};
  let sent = () => {};
  const publish = (topic: string, payload: string): boolean => {
    say({ topic, payload });
    sent();
    return true;
  };
  const onProblem = (problem: string): void => say({ problem });
  const orders = createOrders({ keys, clock, publish, logbook, lifeSec: () => ORDER_SEC });
  const ingest = createIngest({
    ...{ logbook, keys, clock, publish, onProblem, desired: (address: string) => desired[address] ?? {} },
    onReply: (address, reply) => orders.reply(address, reply),
    sendAgain: (address) => sendAgain(orders, address),
  });
  return async (job) => {
    time.upMs = job.now;
    runTimers();
    if (job.do === 'take') {
      desired = job.desired;
      for (const { topic, payload, utcMs } of job.heard) {
        time.utcMs = utcMs;
        ingest.accept(topic, payload, false);
      }
      await ingest.flush();
      // Orders that it has given of its own accord are on their way.
      await new Promise(setImmediate);
    } else if (job.do === 'order') {
      time.utcMs = job.utcMs;
      const isSent = new Promise<void>((resolve) => {
        sent = resolve;
      });
      await Promise.race([isSent, orders.give(job.address, job.wish)]);
    } else if (job.do === 'disk') Object.assign(process.env, job.words);
    else {
      await orders.close();
      await logbook.mark(false);
      await logbook.close();
    }
  };
}

async function main(): Promise<void> {
  const { db } = JSON.parse(process.argv[2]) as HostPlace;
  wind();
  process.on('disconnect', () => process.exit());
  const work = play(await open(db), db);
  process.on('message', async (job: HostJob) => {
    await work(job);
    say('done');
    if (job.do === 'close') process.disconnect();
  });
  say('up');
}

void main();
