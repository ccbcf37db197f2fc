// How much memory a host takes beside what it needs.
import { setFlagsFromString } from 'node:v8';

/** Garbage that may lie beside what is in use before V8 collects it, percent of the latter. */
const GARBAGE_PERCENT = 50;

/**
 * From now on the heap of this process stays near what is in use. V8 lets it grow to more than twice that, which a host
 * with months to run, on a small machine, does not need. Threads and other processes have heaps of their own.
 */
export function keepHeapModest(): void {
  setFlagsFromString(`--heap-growing-percent=${GARBAGE_PERCENT}`);
}
