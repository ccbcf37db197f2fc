// `commission`: makes what has to be put on one real controller before it is fitted.
import { mkdirSync, writeFileSync } from 'node:fs';
import { isIPv4 } from 'node:net';
import { join } from 'node:path';
import { loadBoard, loadBoards, type NamedBoard } from '../../firmware/build/boards';
import { dataBytes, fits } from '../../firmware/build/fits';
import { configuration, configurationScript } from '../flash/configuration';
import { firmwareFor } from '../flash/firmware';
import { lampWiring, moduleSettings } from '../flash/lampWiring';
import { presentKeys } from '../keys';
import { isLogbookThere } from '../logbook/engines/open';
import { isThisMachine } from '../loopback';
import type { Site } from '../site/model';
import { CAUTION } from '../words/caution';
import { PROGRAM } from './arguments';
import { withLogbook } from './baseline';
import { circuitOf } from './named';

/**
 * In the version that the firmware build has tested. Only the bench needs it, so the host does not install
 * it.
 */
const UPLOAD_TOOL = 'espruino@0.1.67';

export interface CommissionOptions {
  site: Site;
  circuit: string;
  /** Name of the board. */
  board: string;
  /** Where the controller reaches the broker. */
  brokerAddress: string;
  brokerPort: number;
  ssid?: string;
  wifiPassword?: string;
  /** A clock chip is fitted. */
  clockChip?: boolean;
  /** A fixed address of the controller's own, all three or none. */
  ip?: string;
  mask?: string;
  gateway?: string;
  db: string;
  out: string;
}

/** The controller's own address; undefined: by DHCP. */
function ownAddress({ ip, mask, gateway }: CommissionOptions, board: NamedBoard) {
  if (ip === undefined && mask === undefined && gateway === undefined) return undefined;
  if (board.network !== 'w5500')
    throw new Error('This board uses Wi-Fi, where the access point gives the address: leave out --ip.');
  if (!ip || !mask || !gateway || ![ip, mask, gateway].every((one) => isIPv4(one)))
    throw new Error('A fixed address needs --ip, --mask and --gateway, each as in 192.0.2.10.');
  return { ip, mask, gateway };
}

/** Whether an address is the computer's own, by which no other reaches it. */
function isOwnOnly(address: string): boolean {
  return address === '0.0.0.0' || isThisMachine(address.toLowerCase());
}

function check(o: CommissionOptions, board: NamedBoard): void {
  if (isOwnOnly(o.brokerAddress))
    throw new Error(
      `--broker-address ${o.brokerAddress} is each machine itself, so the controller would look for the broker in itself; write ` +
        "this computer's address on the controllers' network, as in 192.0.2.10, and start serve with it as --broker-host.",
    );
  if (!isIPv4(o.brokerAddress))
    throw new Error(`"${o.brokerAddress}" is not an IP address; give the broker as in 192.0.2.10.`);
  if (o.clockChip && !board.clockChip)
    throw new Error(`Board "${board.name}" has no pins for a clock chip; leave out --clock-chip.`);
  if (board.network === 'wifi' && !o.ssid)
    throw new Error('This board uses Wi-Fi; give the network with --ssid and --wifi-password.');
}

/**
 * Writes firmware and configuration for one controller into a folder readable only by its owner, and explains
 * how to put them on the board. @returns the exit code. @throws Error with one sentence for a mistake.
 */
export async function commissionCommand(o: CommissionOptions): Promise<number> {
  const board = await loadBoard(o.board);
  const circuit = circuitOf(o.site, o.circuit);
  check(o, board);
  const keys = presentKeys(o.db);
  if (await isLogbookThere(o.db)) await withLogbook(o, async () => undefined);
  const lamps = lampWiring(board, circuit, await loadBoards());
  const program = firmwareFor(board);
  const { shortfalls } = fits(board, program.length);
  if (shortfalls.length > 0) throw new Error(shortfalls.join('\n'));
  mkdirSync(o.out, { recursive: true, mode: 0o700 });
  const programFile = join(o.out, 'nightproof.min.js');
  writeFileSync(programFile, program, 'latin1');
  const address = `${o.site.id}/${circuit.id}`;
  const own = ownAddress(o, board);
  const place = {
    ...(own && { own }),
    address: o.brokerAddress,
    port: o.brokerPort,
    ...(o.ssid !== undefined && { ssid: o.ssid }),
    ...(o.wifiPassword !== undefined && { wifiPassword: o.wifiPassword }),
  };
  const config = configuration(address, keys, board, lamps, place, program, o.clockChip === true);
  const script = join(o.out, `${circuit.id}.cfg.js`);
  writeFileSync(script, configurationScript(config, dataBytes(board)), { mode: 0o600 });
  const settings = moduleSettings(lamps);
  const upload = `npx ${UPLOAD_TOOL} -p PORT --config MODULE_URL= --config BOARD_JSON_URL=`;
  process.stdout.write(
    [
      `Controller ${address}: ${program.length} bytes of firmware, and a configuration with its secret key.`,
      ...(settings === undefined ? [] : [settings]),
      'With the board on the bench, not connected to the circuit (PORT is its serial port):',
      `  1. ${upload} ${script}`,
      `  2. ${upload} --config SAVE_ON_SEND=1 ${programFile}`,
      '  3. Delete the configuration file: it contains the password and the secret of the controller.',
      `Next: have the controller fitted (docs/wiring.md) while \`${PROGRAM} serve\` runs with this log book; after its ` +
        `first test \`${PROGRAM} baseline list\` compares the measured currents with the site file.`,
      CAUTION,
      '',
    ].join('\n'),
  );
  return 0;
}
