// What one kind of board provides, as data: one file each in `boards/`, with the name used on the command
// line. This file holds only types, so that the host and the build can read it without the interpreter's
// globals.
import type { Wiring } from './config';

/** `AdcWiring` is the wiring the board's converter driver defines, including the driver's name. */
export interface Board<AdcWiring = { driver: string }> {
  /** The board and how it is connected, in a few words. */
  title: string;
  /** Its driver is the file of that name in `net/`. */
  network: 'wifi' | 'w5500';
  /** SPI pins of the Ethernet module, and its reset line where connected. */
  spi?: { sck: string; miso: string; mosi: string; cs: string; reset?: string };
  pins: Wiring;
  /** Converter for the lamp currents: its driver is the file of that name in `adc/`. */
  adc: AdcWiring;
  /** Pins of a battery-backed clock chip, where one can be fitted; its driver is in `clockChip/`. */
  clockChip?: { driver: string; sda: string; scl: string };
  /** Address of the register whose top byte holds the reset cause, 0 if unknown. */
  resetRegister: number;
  flash: {
    /** Bytes of the interpreter's storage, which holds program, configuration, settings, plan and journal. */
    storageBytes: number;
    /** Address where it begins. */
    storageAt: number;
    /** Bytes erased at once; compaction copies this many into memory. */
    pageBytes: number;
    /** Bytes of each of the two journal files. */
    journalBytes: number;
  };
  /** The interpreter's memory cells, and the bytes of each. */
  variables: { count: number; bytes: number };
  /** Bytes of the stack, where known. */
  stackBytes?: number;
}
