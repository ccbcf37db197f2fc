// What a campaign needs for runs with the real host.
import { createRequire } from 'node:module';
import type { RealThreads } from '../../../simulator/campaign/pool';
import { threadScript } from '../../../simulator/threads';
import { compiledDisk } from '../disk/faultyDisk';
import type { RealHostParts } from './realRun';

/**
 * Threads for runs with the real host.
 * @param program script of the host's process, if not the one that was built
 * @throws Error with one sentence where the failing disk cannot be compiled, or nothing was built
 */
export function realThreads(program?: string): RealThreads {
  const script = threadScript('realHost');
  const { resolve } = createRequire(import.meta.url);
  const workerData: RealHostParts = {
    commandLine: resolve('#root/build/host/main.js'),
    program: program ?? resolve('#root/build/simulator/realHost/process.cjs'),
    disk: compiledDisk(),
  };
  return { script, workerData };
}
