// A Node context stripped to the interpreter's language, with those of its quirks that can be imitated. What
// it cannot imitate (no hoisting, closures in loops, `length`) is rejected by the gate and the type check.
import { readFileSync } from 'node:fs';
import vm from 'node:vm';

/** Run inside the context, before anything else: removes what Espruino 2v29 lacks. */
const STRIP = `
(function (G) {
  function remove(object, names) { names.split(' ').forEach(function (name) { delete object[name]; }); }
  remove(G, 'Map Set WeakMap WeakSet WeakRef Symbol Proxy Reflect BigInt BigInt64Array BigUint64Array ' +
    'Intl Atomics SharedArrayBuffer FinalizationRegistry Iterator WebAssembly escape unescape console');
  remove(Math, 'hypot log10 log2 cbrt fround clz32 trunc imul sinh cosh tanh asinh acosh atanh expm1 log1p');
  remove(Number, 'isInteger isNaN isFinite parseFloat parseInt isSafeInteger EPSILON MAX_SAFE_INTEGER ' +
    'MIN_SAFE_INTEGER');
  remove(Object, 'freeze is isFrozen seal isSealed preventExtensions isExtensible groupBy hasOwn');
  remove(Array, 'from of fromAsync');
  remove(Date, 'UTC');
  remove(String.prototype, 'codePointAt localeCompare matchAll normalize search trimStart trimEnd trimLeft ' +
    'trimRight at replaceAll isWellFormed toWellFormed anchor big');
  remove(Array.prototype, 'findLast findLastIndex flat flatMap keys values entries lastIndexOf reduceRight ' +
    'at copyWithin toSorted toReversed toSpliced with');
  var round = Math.round;
  Math.round = function (x) { return x < 0 ? -round(-x) : round(x); };
  Error.prototype.name = undefined;
  TypeError.prototype.name = undefined;
})(this);`;

export interface Sandbox {
  /** Runs script text in the context and returns its last value. */
  run(code: string): unknown;
  /** Runs a script file. */
  runFile(file: string): unknown;
  /** What `print` has written, one entry per call. */
  lines: string[];
}

/** A fresh context. `host` holds values and functions that scripts see as globals. */
export function createSandbox(host: { [name: string]: unknown } = {}): Sandbox {
  const lines: string[] = [];
  const print = (...parts: unknown[]): void => {
    lines.push(parts.map(String).join(' '));
  };
  const context = vm.createContext({ print, ...host });
  vm.runInContext(STRIP, context);
  return {
    run: (code) => vm.runInContext(code, context),
    runFile: (file) => vm.runInContext(readFileSync(file, 'utf8'), context, { filename: file }),
    lines,
  };
}
