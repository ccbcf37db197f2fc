// `demo`: the whole job on one screen, until interrupted.

import { expectReachable } from '../network/ownAddresses';
import { type DemoOptions, startDemo } from '../rehearse/demo';
import { LOCALHOST } from '../serve/ownBroker';
import type { Served } from '../serve/serve';
import { expectFree } from '../server/listen';
import { noPage } from '../server/server';
import { CAUTION } from '../words/caution';

function say(line: string): void {
  process.stdout.write(`${line}\n`);
}

function guide(o: DemoOptions, { url, steps }: Served, luminaires: number): void {
  say('');
  say(`  Page:  ${url}`);
  if (steps !== '') say(`\n${steps.replace(/^/gm, '  ').trimEnd()}`);
  say('');
  say(
    `  ${o.site.name}: ${o.site.circuits.length} simulated circuits, ${luminaires} luminaires, all fictitious.`,
  );
  say('  What to look at:');
  say('    Tonight   a test starts within seconds; watch each luminaire being judged, one of them failing,');
  say('              and the mains coming back; try "Restore supply" during a test.');
  say('    A circuit, then a luminaire: its history and its discharge curves.');
  say('    Defects   what failed, who sees to it, and what the retest after a repair showed.');
  say('    Duties    what people must look at besides, and what they found on their walks.');
  say('    Log book  every result, signed and chained, as it arrives.');
  say('    Reports   a period as a file for the inspector, with the records inside.');
  say('  Time runs fast while nothing happens and slowly during tests. Press Ctrl-C to stop.');
  say('');
  say(`  ${CAUTION}`);
  say('');
}

/** Runs until interrupted. @returns the exit code. */
export async function demoCommand(o: DemoOptions): Promise<number> {
  // Installed first: an interrupt during the fast run must leave nothing behind either.
  const broken = new Promise<void>((resolve) => {
    process.once('SIGINT', resolve);
    process.once('SIGTERM', resolve);
  });
  const page = { port: o.port, host: o.host ?? LOCALHOST };
  await expectReachable(page.host);
  await expectFree(page, noPage(page));
  say(
    `Running ${o.historyDays ?? o.site.simulation.historyDays} simulated days first, so there is something to see...`,
  );
  const demo = await startDemo(o);
  const luminaires = o.site.circuits.reduce((sum, circuit) => sum + circuit.luminaires.length, 0);
  guide(o, demo.served, luminaires);
  await broken;
  await demo.stop();
  say('Stopped.');
  return 0;
}
