// The text of np.cfg for one controller: its id, its secret, its pins and its broker.
import { randomBytes } from 'node:crypto';
import type { Board } from '../../firmware/board/board';
import type { BoardConfig } from '../../firmware/board/config';
import { Limit } from '../../firmware/contract/limits';
import { chainHash, toHex } from '../../firmware/contract/signature';
import { loginOf } from '../broker/logins';
import { type KeyRing, sha256 } from '../keys';

export interface BrokerPlace {
  /** Numeric address: looking up a name would stop the controller's loop. */
  address: string;
  port: number;
  ssid?: string;
  wifiPassword?: string;
  /** The controller's own address on a wired network; missing: by DHCP. */
  own?: { ip: string; mask: string; gateway: string };
}

/** 0 to 1 from the address, so that a building's controllers do not all reconnect at once. */
function jitterOf(address: string): number {
  let sum = 0;
  for (const c of address) sum = (sum * 31 + c.charCodeAt(0)) % 997;
  return Math.round((sum / 997) * 100) / 100;
}

/** Checksum of a program as the controller's self-test computes it, slice by slice. */
export function programSum(program: string): string {
  let sum = '';
  for (let at = 0; at < program.length; at += Limit.ProgramSliceBytes)
    sum = chainHash(sha256, sum + program.slice(at, at + Limit.ProgramSliceBytes));
  return sum;
}

/**
 * Configuration of the controller at `address` (site/circuit).
 * @param adc wiring of the lamp sensors
 */
export function configuration(
  address: string,
  keys: KeyRing,
  board: Board,
  adc: Board['adc'],
  broker: BrokerPlace,
  program: string,
  isChipFitted: boolean,
): BoardConfig {
  return {
    address,
    secret: toHex(keys.secretOf(address)),
    journalBytes: board.flash.journalBytes,
    storageAt: board.flash.storageAt,
    nonce: randomBytes(4).readInt32LE(),
    resetRegister: board.resetRegister,
    pins: board.pins,
    adc,
    ...(isChipFitted && { clockChip: board.clockChip }),
    programSum: programSum(program),
    net: {
      kind: board.network,
      broker: broker.address,
      port: broker.port,
      ...(board.network === 'wifi' && { ssid: broker.ssid ?? '', password: broker.wifiPassword ?? '' }),
      ...board.spi,
      ...(board.network === 'w5500' && broker.own),
    },
    link: {
      // The user is the client id: a name beside it would only take memory.
      password: loginOf(keys, address.replace('/', '.')).password,
      keepAliveSec: 30,
      heartbeatSec: 60,
      liveMs: 1000,
      jitter: jitterOf(address),
    },
  };
}

/**
 * Script for the board's console. It writes the configuration into the board's flash, and on a board that has
 * never been commissioned first erases everything to make the data file `np.dat` of `bytes` bytes: as the
 * first file of all it never moves. Records already there are kept.
 */
export function configurationScript(config: BoardConfig, bytes: number): string {
  const text = JSON.stringify(JSON.stringify(config));
  return [
    'var s = require("Storage");',
    `if (s.read("np.dat", 0, 1) !== "A" || s.read("np.dat").length !== ${bytes}) {`,
    `  s.eraseAll(); s.write("np.dat", "A", 0, ${bytes});`,
    '}',
    `s.write("np.cfg", ${text});`,
    `print("np.cfg written for ${config.address}");`,
    '',
  ].join('\n');
}
