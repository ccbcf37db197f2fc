// The long runs of the guard circuits in ngspice, on two cores:
//   npm run guards -- faults          every single fault, some two minutes
//   npm run guards -- pieces [count]  1,000 pieces at each temperature, some ten minutes
//   npm run guards -- document        the tables of docs/guards.md, and docs/guards.svg
// The first two write a table in simulator/guards, which the tests compare with the circuit and with samples of their own.
import { writeFileSync } from 'node:fs';
import { guardBoard } from '../../../simulator/guards/board';
import { drawing } from '../../../simulator/guards/drawing';
import { singleFaults } from '../../../simulator/guards/faultList';
import { verdictOf } from '../../../simulator/guards/faults';
import type { FaultRow } from '../../../simulator/guards/pfd';
import { DOCUMENT, DRAWING, documentNow } from './document';
import { observe } from './observe';
import { type Pieces, writeFaults, writePieces } from './results';
import { COLD_ROOM_HOT, joined, measure } from './tolerances';

const WORKERS = 2;
const PIECES = 1000;
/** Pieces in one run of ngspice. */
const BATCH = 50;

/** Works through the jobs on some workers; results in the order of the jobs. */
async function inParallel<Job, Done>(jobs: Job[], work: (job: Job) => Promise<Done>): Promise<Done[]> {
  const done: Done[] = [];
  let next = 0;
  const worker = async () => {
    while (next < jobs.length) {
      const i = next++;
      done[i] = await work(jobs[i]);
    }
  };
  await Promise.all(Array.from({ length: WORKERS }, worker));
  return done;
}

async function runFaults(): Promise<FaultRow[]> {
  return inParallel(singleFaults(guardBoard), async (fault) => {
    const seen = await observe(guardBoard, [fault]);
    console.log(`${fault.part} ${fault.mode}: ${verdictOf(seen)}`);
    return { ...fault, seen };
  });
}

async function runPieces(count: number): Promise<Pieces[]> {
  const jobs = COLD_ROOM_HOT.flatMap((celsius) =>
    Array.from({ length: Math.ceil(count / BATCH) }, (_, i) => ({ celsius, from: i * BATCH })),
  );
  const parts = await inParallel(jobs, async ({ celsius, from }) => {
    const size = Math.min(BATCH, count - from);
    const measures = await measure(celsius, size, from);
    console.log(`${celsius} °C, pieces ${from} to ${from + size - 1}: ${JSON.stringify(measures)}`);
    return { celsius, measures };
  });
  return COLD_ROOM_HOT.map((celsius) => {
    const own = parts.filter((part) => part.celsius === celsius).map(({ measures }) => measures);
    return { celsius, count, ...own.reduce(joined) };
  });
}

const [what, count] = process.argv.slice(2);
if (what === 'faults') writeFaults(await runFaults());
else if (what === 'pieces') writePieces(await runPieces(Number(count ?? PIECES)));
else if (what === 'document') {
  writeFileSync(DOCUMENT, documentNow());
  writeFileSync(DRAWING, drawing(guardBoard));
} else {
  console.error('Say what to run: faults, pieces or document.');
  process.exitCode = 2;
}
