// The registers of a W5500 over SPI: WIZnet's data sheet of that name, version 1.1.0, chapters 2.2 (frame), 4.1
// and 4.2 (registers), from memory, and compared with libs/network/wiznet/W5500/w5500.h of the interpreter, 2v29.

import { word, wordAt } from '../../contract/bytes';

export const enum Common {
  Mode = 0x00,
  Gateway = 0x01,
  Mask = 0x05,
  Mac = 0x09,
  Address = 0x0f,
  Phy = 0x2e,
  Version = 0x39,
}

/** Registers of a socket. */
export const enum Sn {
  Mode = 0x00,
  Command = 0x01,
  Interrupt = 0x02,
  Status = 0x03,
  Port = 0x04,
  PeerAddress = 0x0c,
  PeerPort = 0x10,
  TxFree = 0x20,
  TxWrite = 0x24,
  RxSize = 0x26,
  RxRead = 0x28,
}

/** Blocks of the frame's control byte; those of socket n are 4 n further on. */
export const enum Block {
  Common = 0,
  Socket = 1,
  Tx = 2,
  Rx = 3,
}

export const enum Command {
  Open = 0x01,
  Connect = 0x04,
  Disconnect = 0x08,
  Close = 0x10,
  Send = 0x20,
  Receive = 0x40,
}

export const enum Status {
  Closed = 0x00,
  Init = 0x13,
  Established = 0x17,
  CloseWait = 0x1c,
  Udp = 0x22,
}

/** Bits of a socket's interrupt register; writing a 1 clears it. */
export const enum Seen {
  Timeout = 0x08,
  SendOk = 0x10,
}

/** Address of four zeros: none. */
export const NOWHERE = '\0\0\0\0';
/** The chip allows 33 MHz; wires on a breadboard do not. */
const BAUD = 4000000;
/** Most bytes of a buffer moved in one turn. */
export const CHUNK = 512;

let spi: SpiPort;
let select: Pin;
/** As many bytes as are read at once: the chip ignores what it is sent meanwhile. */
let blank = '';

/** @throws Error when the interpreter has no SPI at that pin. */
export function setUpChip(sck: string, miso: string, mosi: string, cs: string): void {
  select = new Pin(cs);
  digitalWrite(select, 1);
  pinMode(select, 'output');
  const port = SPI.find(new Pin(sck));
  if (port === undefined) throw new Error('No SPI at ' + sck);
  spi = port;
  spi.setup({ sck: new Pin(sck), miso: new Pin(miso), mosi: new Pin(mosi), baud: BAUD });
  blank = '\0\0\0\0\0\0\0\0';
  while (blank.length < CHUNK) blank += blank;
}

/** At most CHUNK bytes. */
export function readChip(block: number, address: number, count: number): string {
  digitalWrite(select, 0);
  const bytes = spi.send(word(address) + String.fromCharCode(block << 3) + blank.substring(0, count));
  digitalWrite(select, 1);
  return bytes.substring(3);
}

export function writeChip(block: number, address: number, bytes: string): void {
  digitalWrite(select, 0);
  spi.send(word(address) + String.fromCharCode((block << 3) | 4) + bytes);
  digitalWrite(select, 1);
}

/** A byte of a register. */
export function readByte(block: number, address: number): number {
  return readChip(block, address, 1).charCodeAt(0);
}

/**
 * A size or pointer that the chip may change between its two bytes: 0 unless it reads twice the same, as the
 * data sheet asks for (4.2, Sn_TX_FSR and Sn_RX_RSR).
 */
export function readSize(block: number, address: number): number {
  const first = readChip(block, address, 2);
  return first === readChip(block, address, 2) ? wordAt(first, 0) : 0;
}

/** Whether the last command of a socket was taken; only then may the next one follow. */
export function isTaken(socket: number): boolean {
  return readByte(4 * socket + Block.Socket, Sn.Command) === 0;
}

export function command(socket: number, what: Command): void {
  writeChip(4 * socket + Block.Socket, Sn.Command, String.fromCharCode(what));
}

/** Puts bytes behind those that wait to be sent, and sends them. The pointers run on, modulo 65,536. */
export function sendBytes(socket: number, bytes: string): void {
  const registers = 4 * socket + Block.Socket;
  const at = wordAt(readChip(registers, Sn.TxWrite, 2), 0);
  writeChip(4 * socket + Block.Tx, at, bytes);
  writeChip(registers, Sn.TxWrite, word(at + bytes.length));
  command(socket, Command.Send);
}

/** Bytes at the start of what a socket has received; `dropReceived` lets go of them. */
export function received(socket: number, from: number, count: number): string {
  const at = wordAt(readChip(4 * socket + Block.Socket, Sn.RxRead, 2), 0);
  return readChip(4 * socket + Block.Rx, (at + from) & 65535, count);
}

export function dropReceived(socket: number, count: number): void {
  const registers = 4 * socket + Block.Socket;
  const at = wordAt(readChip(registers, Sn.RxRead, 2), 0);
  writeChip(registers, Sn.RxRead, word(at + count));
  command(socket, Command.Receive);
}
