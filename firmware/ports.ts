// What the controller needs from the outside world, and nothing more. A board provides it with pins and
// flash, the simulator with models. Both call the same controller.
import type { Ending, SelfTest } from './contract/codes';
import type { Inputs, Read } from './core/inputs';

/** Fixed-size append-only files. Bytes never written read as \xff. */
export interface FlashPort {
  /**
   * Erases a further part of a journal file of `bytes` bytes: as much as a turn allows. True once all of it is
   * blank.
   */
  erase(file: string, bytes: number): boolean;
  /**
   * Writes `head` and then `text` into erased space; false on failure. Two parts, to avoid a second copy of a
   * long text.
   */
  append(file: string, offset: number, head: string, text: string): boolean;
  /** Fewer bytes than the file holds there, or none, when the flash cannot be read. */
  read(file: string, offset: number, length: number): string;
  /** A small text saved whole (settings, plan), replaced safely; `load` returns '' when absent or damaged. */
  save(name: string, text: string): boolean;
  load(name: string): string;
}

/** One TCP connection at a time. The port calls back linkOpened / linkData / linkClosed. */
export interface NetPort {
  /** 1: `open` may stop the loop until TCP has answered or given up, so it has to wait for a quiet moment. */
  stops: number;
  /** Whether there is a network to connect through. */
  isReady(): boolean;
  open(): void;
  write(bytes: string): void;
  close(): void;
}

export interface BoardPort {
  /** Monotonic ms, integer, never set back. */
  now(): number;
  /** Monotonic ms for the network's timeouts; the same clock on a board. */
  linkNow(): number;
  /** Fills in supply, contact and people inputs. */
  readInputs(inputs: Inputs): void;
  /**
   * Fills in `inputs.lamp` for `count` lamps, mA, each measured at `since` (monotonic ms) or later.
   * @returns NotYet while the modules of a bus are being read: ask again in the next turn.
   */
  readLamps(inputs: Inputs, count: number, since: number): Read;
  /**
   * Requested relay level, and until when the request is valid, monotonic ms. 0 must take effect at once:
   * by every guard, or until `leaseUntil` only by the one that `ending` names.
   */
  drive(open: number, leaseUntil: number, ending: Ending): void;
  /** Red "supply off" lamp. */
  red(on: number): void;
  sha256(bytes: string): string;
  /** 32 unpredictable bits. */
  entropy(): number;
  /** UTC second of the battery-backed clock chip: 0 when it gives none to trust, -1 when none is fitted. */
  chipTime(): number;
  /** Sets the chip. @returns 1 when it reads back right */
  setChipTime(utcSec: number): number;
  /** One slice of the board's self-tests, a few ms; it may read the lamps. @returns what is wrong, else None */
  selfTest(inputs: Inputs, lampCount: number): SelfTest;
  /** Cause of this boot if known, else 0. */
  bootCause(): number;
  flash: FlashPort;
  net: NetPort;
}
