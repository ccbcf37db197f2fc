// The demonstration in the small house, served, with a browser at hand: begun so that the first full test
// of a circuit is due.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { type Demo, startDemo } from '../../../host/rehearse/demo';
import type { SimulatedController } from '../../../simulator/node';
import { startBrowser } from './browser';
import { buildLodge, firstFull, type Lodge } from './lodge';

/** An hour of discharge in three minutes: time enough to look at every page. */
const PACE = 20;

export interface LodgeDemo {
  lodge: Lodge;
  demo: Demo;
  browser: Browser;
  /** The simulated controller of a circuit. */
  node(circuit: string): SimulatedController;
  stop(): Promise<void>;
}

/** @param full circuit whose first full test is due when the demonstration begins */
export async function startLodgeDemo(full: string): Promise<LodgeDemo> {
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-page-'));
  const lodge = buildLodge(folder, 3, 60);
  const historyDays = firstFull(lodge.site, full).days;
  const site = { site: lodge.site, siteFile: lodge.file, historyDays };
  const browser = await startBrowser();
  const begun = startDemo({ ...site, seed: 5, port: 0, pace: PACE, quiet: true });
  const demo = await begun.catch(async (failure) => {
    await browser.close();
    throw failure;
  });
  return {
    lodge,
    demo,
    browser,
    node: (circuit) => demo.rehearsal.fleet.nodes.find((one) => one.spec.circuit === circuit)!,
    async stop() {
      await browser.close();
      await demo.stop();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
