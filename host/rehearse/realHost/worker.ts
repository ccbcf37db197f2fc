// A thread of its own for runs of a campaign with the real host.
import { parentPort, workerData } from 'node:worker_threads';
import { answerJobs } from '../../../simulator/campaign/jobs';
import { type RealHostParts, realRun } from './realRun';

answerJobs(parentPort, (at, cut) => realRun(at, cut, workerData as RealHostParts));
