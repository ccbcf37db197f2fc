// How much memory a host takes beside what it needs.
import { getHeapStatistics, setFlagsFromString } from 'node:v8';

/** Garbage that may lie beside what is in use before V8 collects it, percent of the latter. */
const GARBAGE_PERCENT = 50;
/** With a limit up to this one V8 itself lets less garbage lie there: 30 % at the least limits, 50 % at 768 MiB and the young. */
const SMALL_LIMIT_BYTES = 816 * 1024 * 1024;

/**
 * From now on the heaps of this process and its threads stay near what is in use. V8 lets one grow to four times that where
 * the machine has memory enough, which a host with months to run does not need. On a small machine V8's own rule is
 * stricter, and stays. Other processes have rules of their own. The demonstration does without: it has 130 MB in use either way, and
 * its fast run would take longer.
 */
export function keepHeapModest(): void {
  if (getHeapStatistics().heap_size_limit <= SMALL_LIMIT_BYTES) return;
  setFlagsFromString(`--heap-growing-percent=${GARBAGE_PERCENT}`);
}
