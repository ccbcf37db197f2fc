// TCP to the broker over Wi-Fi, a W5500 or, on a desktop build, the host's own network.
import type { NetPort } from '../ports';
import type { NetworkConfig } from './config';

/** What the controller needs to know about its connection. */
export interface NetEvents {
  opened(): void;
  data(bytes: string): void;
  closed(): void;
}

let config: NetworkConfig;
let events: NetEvents;
let socket: Socket | undefined;
/** Number of the current connection: the late end of an old one must not be taken for its end. */
let connection = 0;

function startWifi(): void {
  const wifi = require('Wifi');
  wifi.stopAP();
  wifi.connect(config.ssid || '', { password: config.password }, function () {});
}

function startEthernet(): void {
  const spi = SPI.find(new Pin(config.sck || ''));
  if (spi)
    spi.setup({
      sck: new Pin(config.sck || ''),
      miso: new Pin(config.miso || ''),
      mosi: new Pin(config.mosi || ''),
    });
  require('WIZnet')
    .connect(spi, new Pin(config.cs || ''))
    .setIP();
}

/** Brings up the network; connections are made later, on request. */
export function setUpNetwork(net: NetworkConfig, on: NetEvents): void {
  config = net;
  events = on;
  if (net.kind === 'wifi') startWifi();
  else if (net.kind === 'w5500') startEthernet();
}

function ended(number: number): void {
  if (number !== connection) return;
  socket = undefined;
  events.closed();
}

function open(): void {
  connection++;
  const number = connection;
  const s = require('net').connect({ host: config.broker, port: config.port }, function () {
    if (number === connection) events.opened();
  });
  socket = s;
  s.on('data', function (bytes) {
    if (number === connection) events.data(bytes);
  });
  s.on('error', function () {});
  s.on('close', function () {
    ended(number);
  });
}

function write(bytes: string): void {
  if (socket !== undefined) socket.write(bytes);
}

function close(): void {
  connection++;
  if (socket !== undefined) socket.end();
  socket = undefined;
}

export const boardNet: NetPort = { open: open, write: write, close: close };
