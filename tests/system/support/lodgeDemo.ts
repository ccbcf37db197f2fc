// The demonstration in the small house, served, with a browser: started when a circuit's first duration test
// is due.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { type Demo, startDemo } from '../../../host/rehearse/demo';
import type { SimulatedController } from '../../../simulator/node';
import { startBrowser } from './browser';
import { buildLodge, firstFull, type Lodge } from './lodge';

/** Simulated seconds per second: three hours of discharge in nine minutes, time to look at every page on a busy machine. */
export const PACE = 20;
const RATED_MINUTES = 180;

export interface LodgeDemo {
  lodge: Lodge;
  demo: Demo;
  browser: Browser;
  /** The simulated controller of a circuit. */
  node(circuit: string): SimulatedController;
  /** Simulated seconds per second from now on: slow where a person at a busy machine must be in time. */
  setPace(pace: number): void;
  stop(): Promise<void>;
}

/** @param full circuit whose first duration test is due when the demonstration begins */
export async function startLodgeDemo(full: string): Promise<LodgeDemo> {
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-page-'));
  const lodge = buildLodge(folder, 3, RATED_MINUTES);
  const historyDays = firstFull(lodge.site, full).days;
  const site = { site: lodge.site, siteFile: lodge.file, historyDays };
  const browser = await startBrowser();
  let pace = PACE;
  const begun = startDemo({ ...site, seed: 5, port: 0, pace: () => pace, quiet: true });
  const demo = await begun.catch(async (failure) => {
    await browser.close();
    throw failure;
  });
  return {
    lodge,
    demo,
    browser,
    node: (circuit) => demo.rehearsal.fleet.nodes.find((one) => one.spec.circuit === circuit)!,
    setPace: (next) => {
      pace = next;
    },
    async stop() {
      await browser.close();
      await demo.stop();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
