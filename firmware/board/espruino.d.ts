// The part of the interpreter (Espruino 2v29) that the board files use, declared here: the published types
// also declare features the language lacks, and clash with those of Node and the browser.

/** A pin. Get one with `new Pin('A4')` or `new Pin(36)`; an `undefined` level is the caller's mistake. */
interface Pin {
  toString(): string;
}
interface PinConstructor {
  new (nameOrNumber: string | number): Pin;
}
declare const Pin: PinConstructor;

type PinMode = 'input' | 'input_pullup' | 'input_pulldown' | 'output' | 'opendrain' | 'analog' | 'auto';

declare function pinMode(pin: Pin, mode: PinMode): void;
/** Several pins at once: the last in the list carries the lowest bit of `value`. */
declare function digitalWrite(pin: Pin | Pin[], value: number): void;
declare function digitalRead(pin: Pin): number;
/** 0 to 1, whatever the converter's resolution. */
declare function analogRead(pin: Pin): number;
/** Seconds with a fraction; jumps when the civil time is set, which this firmware never does. */
declare function getTime(): number;
/** Milliseconds between calls. An uncatchable failure inside the callback removes the interval. */
declare function setInterval(callback: () => void, periodMs: number): number;
/** Once, after the callbacks that are due already; the id is above 0. */
declare function setTimeout(callback: () => void, delayMs: number): number;
/** Throws on an id that has run out. */
declare function clearTimeout(id: number): void;
declare function print(text: string): void;
/** 32-bit word at a memory address. */
declare function peek32(address: number): number;
declare function poke32(address: number, value: number): void;

declare const E: {
  /** Bytes as a string of characters 0-255. */
  toString(bytes: Uint8Array | ArrayBuffer): string;
  /** The bytes of a string in place, not copied; absent on older builds. */
  toArrayBuffer?(text: string): ArrayBuffer;
  /** Hardware watchdog after `seconds`; with `isAuto` false only `kickWatchdog` feeds it. */
  enableWatchdog(seconds: number, isAuto: boolean): void;
  kickWatchdog(): void;
  /** CRC-32 of ISO 3309 over a binary string; absent on older builds. */
  CRC32?(bytes: string): number;
  /** 32 bits of the hardware's random generator, signed. */
  hwRand(): number;
  /** Names of the errors since the last call, such as MEMORY or CALLBACK. */
  getErrorFlags(): string[];
  on(event: 'errorFlag', callback: (flags: string[]) => void): void;
  on(event: 'init' | 'kill', callback: () => void): void;
  setFlags(flags: { [name: string]: number }): void;
  setPassword(password: string): void;
  reboot(): void;
};

declare const process: {
  memory(collect?: boolean): { free: number; usage: number; total: number; stackEndAddress?: number };
  on(event: 'uncaughtException', callback: (error: unknown) => void): void;
  readonly env: { readonly BOARD: string; readonly VERSION: string; readonly SERIAL: string };
};

declare const global: { [name: string]: unknown };

interface Storage {
  /** The whole file, or `length` bytes from `offset`; undefined when the file does not exist. */
  read(name: string, offset?: number, length?: number): string | undefined;
  /**
   * Without `size` (or with offset 0) replaces the file, not atomically; `size` leaves the rest erased
   * (0xFF). With an offset above 0 writes into erased space, and throws where it is not erased.
   */
  write(name: string, data: string, offset?: number, size?: number): boolean;
  erase(name: string): void;
  list(): string[];
  compact(): void;
  getFree(): number;
  getStats(): {
    totalBytes: number;
    freeBytes: number;
    fileBytes: number;
    fileCount: number;
    trashBytes: number;
    trashCount: number;
  };
}

interface Socket {
  on(event: 'data', callback: (bytes: string) => void): void;
  on(event: 'connect' | 'drain', callback: () => void): void;
  on(event: 'close', callback: (hadError: boolean) => void): void;
  on(event: 'error', callback: (error: { code: number; message: string }) => void): void;
  /** Queues a binary string; true when all of it was sent at once. */
  write(bytes: string): boolean;
  end(): void;
}

/** A UDP socket; it neither connects nor waits. */
interface Datagrams {
  on(event: 'message', callback: (bytes: string) => void): void;
  /** Port 0: any free one. */
  bind(port: number): void;
  send(bytes: string, port: number, address: string): void;
  close(): void;
}

interface WifiOptions {
  password?: string;
}

interface SerialPort {
  /** Throws when options do not fit the port. */
  setup(baud: number, options: { tx: Pin; rx: Pin; parity: 'even' | 'odd' | 'none'; stopbits: number }): void;
  /** Queues a binary string; returns at once. */
  write(bytes: string): void;
  /** What has come since the last time, as often as the interpreter is idle. */
  on(event: 'data', callback: (bytes: string) => void): void;
}

interface SpiPort {
  setup(options: { sck: Pin; miso: Pin; mosi: Pin; baud?: number }): void;
  /** Exchanges one byte, or a string of them. */
  send(byte: number): number;
  send(bytes: string): string;
}
interface SpiConstructor {
  find(pin: Pin): SpiPort | undefined;
}
declare const SPI: SpiConstructor;

interface I2cPort {
  setup(options: { sda: Pin; scl: Pin; bitrate: number }): void;
  /** In software it never reports a chip that does not answer: it just reads as ones. */
  readReg(address: number, register: number, count: number): Uint8Array;
  writeTo(address: number, ...bytes: (number | Uint8Array)[]): void;
}
interface I2cConstructor {
  /** A port in software, on any pins. A line held low throws, after up to 100,000 looks at every bit. */
  new (): I2cPort;
}
declare const I2C: I2cConstructor;

declare function require(module: 'Storage'): Storage;
/** By address, whatever stands there. */
declare function require(module: 'Flash'): {
  getPage(address: number): { addr: number; length: number } | undefined;
  read(length: number, address: number): Uint8Array;
  erasePage(address: number): void;
};
declare function require(module: 'crypto'): {
  /** For a list, the hash of all its parts in sequence. */
  SHA256(bytes: string | (string | Uint8Array)[]): ArrayBuffer;
};
declare function require(module: 'net'): {
  /** Returns or throws once TCP has answered or given up: no turn runs until then. */
  connect(options: { host: string; port: number }, connected: () => void): Socket;
};
declare function require(module: 'dgram'): { createSocket(kind: 'udp4'): Datagrams };
declare function require(module: 'Wifi'): {
  connect(network: string, options: WifiOptions): void;
  stopAP(): void;
  on(event: 'connected' | 'disconnected', callback: () => void): void;
};
declare function require(module: 'TelnetServer'): { setOptions(options: { mode: 'on' | 'off' }): void };
