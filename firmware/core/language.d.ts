// biome-ignore-all lint: it declares the language itself, so it shadows every global there is
// The only built-ins the firmware may use: what Espruino 2v29, the second small engine of the tests and Node
// all have, with the same meaning. Compiled with `noLib`, so that anything absent here is a type error: no
// Map, Set, Symbol, Date or timers, no Array.prototype.find, no String.prototype.padStart. `length` is
// read-only, because `array.length = 0` throws on the interpreter; use `splice`.

declare const NaN: number;
declare const Infinity: number;

declare function parseInt(text: string, radix: number): number;
declare function parseFloat(text: string): number;
declare function isNaN(value: number): boolean;
declare function isFinite(value: number): boolean;

interface Object {
  hasOwnProperty(name: string): boolean;
}

interface ObjectConstructor {
  keys(value: object): string[];
}
declare const Object: ObjectConstructor;

interface Function {
  apply(self: any, args?: any): any;
  call(self: any, ...args: any[]): any;
  bind(self: any, ...args: any[]): any;
}
interface CallableFunction extends Function {}
interface NewableFunction extends Function {}

/** The compiler requires the name; `arguments.length` is wrong on the interpreter, so it has no members. */
type IArguments = {};

type Boolean = {};

interface Number {
  toString(radix?: number): string;
  toFixed(digits: number): string;
}

interface String {
  readonly length: number;
  readonly [index: number]: string;
  charAt(index: number): string;
  charCodeAt(index: number): number;
  indexOf(text: string, from?: number): number;
  lastIndexOf(text: string): number;
  substring(from: number, to?: number): string;
  substr(from: number, length?: number): string;
  slice(from: number, to?: number): string;
  split(separator: string): string[];
  replace(from: string, to: string): string;
  concat(...parts: string[]): string;
  trim(): string;
  toLowerCase(): string;
  toUpperCase(): string;
}
interface StringConstructor {
  fromCharCode(...codes: number[]): string;
}
declare const String: StringConstructor;

/** Sorting is not stable on the interpreter: the comparison must never return 0 for unequal elements. */
interface Array<T> {
  readonly length: number;
  [index: number]: T;
  push(...items: T[]): number;
  pop(): T | undefined;
  shift(): T | undefined;
  unshift(...items: T[]): number;
  slice(from?: number, to?: number): T[];
  splice(from: number, count?: number, ...items: T[]): T[];
  concat(...items: T[][]): T[];
  join(separator?: string): string;
  indexOf(item: T): number;
  reverse(): T[];
  sort(compare: (a: T, b: T) => number): T[];
  forEach(act: (item: T, index: number) => void): void;
  map<U>(change: (item: T, index: number) => U): U[];
  filter(keep: (item: T, index: number) => boolean): T[];
  every(holds: (item: T, index: number) => boolean): boolean;
  some(holds: (item: T, index: number) => boolean): boolean;
  reduce<U>(fold: (sum: U, item: T, index: number) => U, start: U): U;
}
interface ReadonlyArray<T> {
  readonly length: number;
  readonly [index: number]: T;
  slice(from?: number, to?: number): T[];
  join(separator?: string): string;
  indexOf(item: T): number;
  forEach(act: (item: T, index: number) => void): void;
  map<U>(change: (item: T, index: number) => U): U[];
  filter(keep: (item: T, index: number) => boolean): T[];
}
interface ArrayConstructor {
  isArray(value: any): value is any[];
}
declare const Array: ArrayConstructor;

interface RegExp {
  test(text: string): boolean;
}

interface Math {
  readonly PI: number;
  abs(x: number): number;
  ceil(x: number): number;
  floor(x: number): number;
  round(x: number): number;
  max(a: number, b: number): number;
  min(a: number, b: number): number;
  pow(base: number, exponent: number): number;
  sqrt(x: number): number;
  exp(x: number): number;
  log(x: number): number;
  random(): number;
}
/** Math.round of a negative half differs between the interpreter (-2) and Node (-1): round positives only. */
declare const Math: Math;

/** The interpreter's parse accepts text after the value: check the end of untrusted text yourself. */
interface JSON {
  parse(text: string): any;
  stringify(value: any): string;
}
declare const JSON: JSON;

interface Error {
  message: string;
}
interface ErrorConstructor {
  new (message?: string): Error;
}
declare const Error: ErrorConstructor;

interface ArrayBuffer {
  readonly byteLength: number;
}
interface ArrayBufferConstructor {
  new (bytes: number): ArrayBuffer;
}
declare const ArrayBuffer: ArrayBufferConstructor;

interface TypedArray {
  readonly length: number;
  readonly byteLength: number;
  readonly byteOffset: number;
  readonly buffer: ArrayBuffer;
  [index: number]: number;
  set(values: { readonly length: number; readonly [index: number]: number }, offset?: number): void;
  subarray(from: number, to: number): this;
}
interface TypedArrayConstructor<T extends TypedArray> {
  new (length: number): T;
  new (values: number[]): T;
  new (buffer: ArrayBuffer, byteOffset?: number, length?: number): T;
}

interface Int8Array extends TypedArray {}
declare const Int8Array: TypedArrayConstructor<Int8Array>;
interface Uint8Array extends TypedArray {}
declare const Uint8Array: TypedArrayConstructor<Uint8Array>;
interface Int16Array extends TypedArray {}
declare const Int16Array: TypedArrayConstructor<Int16Array>;
interface Uint16Array extends TypedArray {}
declare const Uint16Array: TypedArrayConstructor<Uint16Array>;
interface Int32Array extends TypedArray {}
declare const Int32Array: TypedArrayConstructor<Int32Array>;
interface Uint32Array extends TypedArray {}
declare const Uint32Array: TypedArrayConstructor<Uint32Array>;
interface Float32Array extends TypedArray {}
declare const Float32Array: TypedArrayConstructor<Float32Array>;
interface Float64Array extends TypedArray {}
declare const Float64Array: TypedArrayConstructor<Float64Array>;
