// `demo`: the whole job on one screen, until interrupted.
import { loginOf, readerUser } from '../broker/logins';
import { readAlertSettings } from '../integrators/alerts/settings';
import { seededKeys } from '../keys';
import { isThisMachine } from '../loopback';
import { addressForPhones, expectReachable } from '../network/ownAddresses';
import { type DemoOptions, startDemo } from '../rehearse/demo';
import { expectPorts } from '../serve/freePorts';
import { LOCALHOST } from '../serve/ownBroker';
import type { Served } from '../serve/serve';
import { demoTlsFile } from '../tls/kept';
import { CAUTION } from '../words/caution';
import { cameraCode } from './cameraCode';
import { interrupted } from './interrupted';

/** What the command line may ask for. */
export interface DemoFlags
  extends Pick<DemoOptions, 'port' | 'brokerPort' | 'metrics' | 'modbus' | 'seed' | 'pace'> {
  /** True for the address that phones reach. */
  host: string | true;
  /** Whose user and password are printed, without `reader-`. */
  reader: string;
  /** File that says who is told of alarms. */
  alerts?: string;
}

export type DemoCommandOptions = DemoFlags & Pick<DemoOptions, 'site' | 'siteFile'>;

type Found = DemoCommandOptions & { host: string };

function say(line: string): void {
  process.stdout.write(`${line}\n`);
}

/** Where other systems find it. */
function doors(o: Found, user: string, { brokerUrl }: Served): void {
  const { password } = loginOf(seededKeys(o.seed), user);
  say(`  MQTT:  ${brokerUrl}, user ${user}, password ${password} (docs/integrators.md)`);
  if (o.metrics !== undefined) say(`  Numbers for Prometheus:  http://${LOCALHOST}:${o.metrics}/metrics`);
  if (o.modbus) say(`  Modbus TCP:  ${o.modbus.host ?? LOCALHOST} port ${o.modbus.port}`);
  if (o.alerts !== undefined) say(`  Alarms from now on are sent as ${o.alerts} says.`);
}

/** The last thing on the screen: what somebody with a phone in the hand needs. */
function forPhone({ url, words }: Served): void {
  if (process.stdout.isTTY) say(cameraCode(url));
  say(`  Phone:  ${url}  (the browser warns: right for a trial, never in a building)`);
  say(`  Your code (until you stop this program):  ${words.code}`);
}

function guide(o: Found, user: string, served: Served): void {
  const { url, words } = served;
  const isHere = words.code === '';
  const luminaires = o.site.circuits.reduce((sum, circuit) => sum + circuit.luminaires.length, 0);
  say('');
  say(`  Page:  ${url}`);
  if (isHere) say('  For your phone: Ctrl-C, then npm start -- --host');
  say('');
  say(
    `  ${o.site.name}: ${o.site.circuits.length} simulated circuits, ${luminaires} luminaires, all fictitious.`,
  );
  say('  What to look at:');
  say(
    `    Tonight   a test starts within seconds${isHere ? '' : ' of the first sign-in'}; watch each luminaire being judged, one of them failing,`,
  );
  say('              and the mains coming back; try "Restore supply" during a test.');
  say('    A circuit, then a luminaire: its history and its discharge curves.');
  say('    Defects   what failed, who sees to it, and what the retest after a repair showed.');
  say('    Duties    what people must look at besides, and what they found on their walks.');
  say('    Log book  every result, signed and chained, as it arrives.');
  say('    Reports   a period as a file for the inspector, with the records inside.');
  say('  Time runs fast while nothing happens and slowly during tests. Press Ctrl-C to stop.');
  say('');
  say('  For other programs:');
  doors(o, user, served);
  say('');
  say(`  ${CAUTION}`);
  say('');
  if (isHere) return;
  const more = `${words.also}${words.trust === '' ? '' : `To be rid of the warning of browsers:\n${words.trust}`}`;
  if (more !== '') say(more.replace(/^(?=.)/gm, '  '));
  forPhone(served);
}

/** What is wrong with the options is said before the fast run. @throws Error with one sentence */
async function expectPlaces(o: Found): Promise<void> {
  await expectReachable(o.host);
  await expectPorts({ ...o, simulated: true });
}

/** Runs until interrupted. @returns the exit code. @throws Error with one sentence for a mistake */
export async function demoCommand(asked: DemoCommandOptions): Promise<number> {
  // Installed first: an interrupt during the fast run must leave nothing behind either.
  const broken = interrupted();
  const o = { ...asked, host: asked.host === true ? addressForPhones() : asked.host };
  const user = readerUser(o.reader);
  const { alerts: file, ...rest } = o;
  const alerts = file === undefined ? undefined : readAlertSettings(file);
  await expectPlaces(o);
  say(`Running ${o.site.simulation.historyDays} simulated days first, so there is something to see...`);
  const tlsFile = isThisMachine(o.host) ? undefined : demoTlsFile(o.site.id);
  const demo = await startDemo({ ...rest, ...(alerts && { alerts }), ...(tlsFile && { tlsFile }) });
  guide(o, user, demo.served);
  await broken;
  await demo.stop();
  say('Stopped.');
  return 0;
}
