// A thread of its own for runs of a campaign; with the core as shipped or broken: explore/bundle.ts.
import { parentPort } from 'node:worker_threads';
import { answerJobs } from './jobs';
import { CampaignRun, sceneOf } from './run';

answerJobs(parentPort, (at, cut) => new CampaignRun(sceneOf(at, cut)).run());
