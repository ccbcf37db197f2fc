// Self-tests of the board, a slice at a time, at rest: the program in flash against its checksum, a piece of
// memory, and a mark at the end of the stack. What they cover and what they do not: docs/safety.md.
import { SelfTest } from '../contract/codes';
import { Limit } from '../contract/limits';
import { chainHash } from '../contract/signature';
import { type Inputs, Read } from '../core/inputs';
import type { BoardPort } from '../ports';
import { boardSha256 } from './system';

const PROGRAM = '.bootcde';
/** Bytes of memory that are tried, and how many in one slice. */
const AREA_BYTES = 64;
const AREA_SLICE = 4;
/** How far from the end of the stack the mark stands, bytes, and what it is. */
const MARK_AT = 1024;
const MARK = 0x4e501268;

let expected = '';
let sum = '';
let start = 0;
let at = 0;
let areaAt = 0;
let markAddress = 0;
let isReading = false;
let lampsNow: BoardPort['readLamps'];
const area = new Uint8Array(AREA_BYTES);

/**
 * @param programSum the program's checksum by `commission`; '' where there is none to compare with
 * @param lamps reads the lamps, through the converter or the bus under test
 */
export function setUpSelfTest(programSum: string, lamps: BoardPort['readLamps']): void {
  expected = programSum;
  lampsNow = lamps;
  // The upload tool puts a newline in front of the program.
  start = require('Storage').read(PROGRAM, 0, 1) === '\n' ? 1 : 0;
  at = start;
  for (let i = 0; i < AREA_BYTES; i++) area[i] = i;
  const end = process.memory(false).stackEndAddress;
  // Only on some builds is it known where the stack ends.
  if (end === undefined) return;
  markAddress = end + MARK_AT;
  poke32(markAddress, MARK);
}

/** Next piece of the program. @returns false when all of it has been read and it is not as it was loaded */
function isProgramRight(): boolean {
  const text = require('Storage').read(PROGRAM, at, Limit.ProgramSliceBytes);
  if (text !== undefined && text !== '') sum = chainHash(boardSha256, sum + text);
  if (text !== undefined && text.length === Limit.ProgramSliceBytes) {
    at += Limit.ProgramSliceBytes;
    return true;
  }
  const isRight = sum === expected;
  at = start;
  sum = '';
  return isRight;
}

/** Whether the next cells keep what is written into them: both patterns, then each its own number. */
function isMemoryRight(): boolean {
  const from = areaAt;
  areaAt = (from + AREA_SLICE) % AREA_BYTES;
  for (let i = from; i < from + AREA_SLICE; i++) {
    area[i] = 0x55;
    if (area[i] !== 0x55) return false;
    area[i] = 0xaa;
    if (area[i] !== 0xaa) return false;
    area[i] = i;
  }
  // Writing to these has changed no other, which was numbered before.
  return area[areaAt] === areaAt;
}

/** Whether any lamp sensor reads within its range: several beyond it at once mean a broken converter. */
function isConverterRight(inputs: Inputs, lampCount: number): boolean {
  // Modules on a bus answer by the next time.
  if (lampsNow(inputs, lampCount, 0) === Read.NotYet) return true;
  for (let i = 0; i < lampCount; i++)
    if (inputs.lamp[i] !== Limit.RailLow && inputs.lamp[i] !== Limit.RailHigh) return true;
  return lampCount < 2;
}

export function boardSelfTest(inputs: Inputs, lampCount: number): SelfTest {
  if (markAddress > 0 && peek32(markAddress) !== MARK) return SelfTest.Stack;
  if (!isMemoryRight()) return SelfTest.Memory;
  // The longest of them: each in turns of its own.
  isReading = !isReading;
  if (isReading) return isConverterRight(inputs, lampCount) ? SelfTest.None : SelfTest.Converter;
  return expected === '' || isProgramRight() ? SelfTest.None : SelfTest.Program;
}
