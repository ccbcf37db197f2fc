// The board's own configuration, written into flash at commissioning: its address, its wiring, its broker.
// Everything about the circuit arrives later in signed messages.
import type { LinkOptions } from '../link/link';

export interface Wiring {
  /** Output to the pulse detector that holds the relay coil. */
  relay: string;
  /** Output that must also be high for the coil to be held, so that it can release it at once. */
  enable: string;
  /** Red "supply off" lamp. */
  red: string;
  /** Opto-coupled supply sensing inputs before and after the relay; high = supply present. */
  before: string;
  after: string;
  /** Inputs, high = active; '' where not fitted. */
  aux: string;
  occupied: string;
  stop: string;
  key: string;
  /** Bit i set: lamp i's sensor outputs the alternating current itself, so its root mean square is taken. */
  rms?: number;
  /**
   * Sensor of the circuit's charging current, reading 0 at no current, and mA at full scale; missing if not
   * fitted.
   */
  charge?: string;
  chargeSpanMilliamps?: number;
  /** Reading (0 to 1) at no current, and mA from there to 1. */
  zero: number;
  spanMilliamps: number;
}

/** What every network driver needs; the driver adds its own wiring. */
export interface NetworkConfig {
  /** The driver in `net/`; `host` is a desktop build's own network, with the driver `wifi`. */
  kind: 'wifi' | 'w5500' | 'host';
  /** IP address of the broker: a name look-up would stop the loop. */
  broker: string;
  port: number;
}

export interface BoardConfig {
  address: string;
  /** Hex of the secret shared with the host. */
  secret: string;
  journalBytes: number;
  /** Address of the interpreter's storage; 0: unknown, and no page is erased. */
  storageAt: number;
  /** Drawn at commissioning, 32 bits: the names of this board's journals differ from those before. */
  nonce: number;
  /** Address of the register that holds the last reset cause, 0 if unknown. */
  resetRegister: number;
  pins: Wiring;
  /** Wiring of the converter for the lamp currents, as its driver defines it. */
  adc: unknown;
  /** Wiring of the clock chip; missing if not fitted. */
  clockChip?: unknown;
  /** Checksum of the program; missing if there is none to compare with. */
  programSum?: string;
  /** Network, as its driver defines it. */
  net: unknown;
  link: LinkOptions;
}

export const CONFIG_FILE = 'np.cfg';

/** Reads the configuration; undefined when it is missing or damaged. */
export function loadConfig(): BoardConfig | undefined {
  const text = require('Storage').read(CONFIG_FILE);
  if (text === undefined) return undefined;
  try {
    const config: BoardConfig = JSON.parse(text);
    return config.address && config.secret && config.pins && config.adc && config.net ? config : undefined;
  } catch (_error) {
    return undefined;
  }
}

/** Binary string from hex digits. */
export function fromHex(hex: string): string {
  let out = '';
  for (let i = 0; i + 1 < hex.length; i += 2)
    out += String.fromCharCode(parseInt(hex.substring(i, i + 2), 16));
  return out;
}
