// What one kind of board offers, as data: a file each in `boards/`, named as the command line names it. Only
// types stand here, so that the host and the build can read it without the interpreter's globals.
import type { Wiring } from './config';

/** `AdcWiring` is the wiring that the board's converter driver defines, with the driver's name in it. */
export interface Board<AdcWiring = { driver: string }> {
  /** The board and how it is connected, in a few words. */
  title: string;
  network: 'wifi' | 'w5500';
  /** SPI pins of the Ethernet module. */
  spi?: { sck: string; miso: string; mosi: string; cs: string };
  pins: Wiring;
  /** The converter of the lamp currents: its driver is the file of that name in `adc/`. */
  adc: AdcWiring;
  /** Address of the register whose top byte tells the cause of a reset, 0 where unknown. */
  resetRegister: number;
  flash: {
    /** Bytes of the interpreter's storage, which holds program, configuration, settings, plan and journal. */
    storageBytes: number;
    /** Bytes erased at once; compaction copies as many into memory. */
    pageBytes: number;
    /** Bytes of each of the two journal files. */
    journalBytes: number;
  };
  /** The interpreter's memory cells, and the bytes of each. */
  variables: { count: number; bytes: number };
  /** Bytes of the stack, where known. */
  stackBytes?: number;
}
