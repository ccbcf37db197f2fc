// The board's own configuration, written into flash at commissioning: who it is, how it is wired, where
// the broker is. Everything about the circuit comes later, signed, by wire.
import type { LinkOptions } from '../link/link';

export interface Wiring {
  /** Output to the pulse detector that holds the relay coil. */
  relay: string;
  /** Output that must be high as well for the coil to be held: lets it go at once; not fitted without. */
  enable?: string;
  /** Red "supply off" lamp. */
  red: string;
  /** Opto-coupled supply senses before and after the relay; high = supply present. */
  before: string;
  after: string;
  /** Inputs, high = active; '' where not fitted. */
  aux: string;
  occupied: string;
  stop: string;
  key: string;
  /** Bit i set: lamp i's sensor gives its alternating current as it is, so its root mean square is read. */
  rms?: number;
  /** Sensor of the circuit's charging current, 0 at no current, and mA at full scale; not fitted without. */
  charge?: string;
  chargeSpanMilliamps?: number;
  /** Reading (0 to 1) at no current, and mA from there to 1. */
  zero: number;
  spanMilliamps: number;
}

export interface NetworkConfig {
  kind: 'wifi' | 'w5500' | 'host';
  /** Address of the broker: a number, since name look-up would stop the loop. */
  broker: string;
  port: number;
  ssid?: string;
  password?: string;
  sck?: string;
  miso?: string;
  mosi?: string;
  cs?: string;
}

export interface BoardConfig {
  address: string;
  /** Hex of the secret shared with the host. */
  secret: string;
  journalBytes: number;
  /** Address of the register that tells the cause of the last reset, 0 unknown. */
  resetRegister: number;
  pins: Wiring;
  /** Wiring of the converter of the lamp currents, as its driver defines it. */
  adc: unknown;
  net: NetworkConfig;
  link: LinkOptions;
}

export const CONFIG_FILE = 'np.cfg';

/** Reads the configuration; undefined when there is none or it is damaged. */
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

/** Binary string of hex digits. */
export function fromHex(hex: string): string {
  let out = '';
  for (let i = 0; i + 1 < hex.length; i += 2)
    out += String.fromCharCode(parseInt(hex.substring(i, i + 2), 16));
  return out;
}
