// Two 8-channel 12-bit converters on one SPI bus, each with its own select line: lamps 0 to 7 on the first, 8
// to 15 on the second. Frames as in the data sheet of the MCP3204/3208 (Microchip DS21298E, 5.0 and 6.1).

export interface AdcWiring {
  driver: 'spi12';
  sck: string;
  miso: string;
  mosi: string;
  /** Select line of each converter, low while it is addressed. */
  cs: [string, string];
}

/** Bits per second: the data sheet allows 1 MHz at 2.7 V and 2 MHz at 5 V. */
const BAUD = 1000000;
/** Start bit, and the bit for a single-ended input, in the first byte; the channel's highest bit follows. */
const START = 6;

let spi: SpiPort;
let chips: Pin[];
let chip: Pin;
let head = START;
let channel = 0;

export function setUpAdc(wiring: AdcWiring): void {
  chips = [];
  for (let i = 0; i < wiring.cs.length; i++) {
    const line = new Pin(wiring.cs[i]);
    digitalWrite(line, 1);
    pinMode(line, 'output');
    chips.push(line);
  }
  chip = chips[0];
  const port = SPI.find(new Pin(wiring.sck));
  if (port === undefined) throw new Error('No SPI at ' + wiring.sck);
  spi = port;
  spi.setup({ sck: new Pin(wiring.sck), miso: new Pin(wiring.miso), mosi: new Pin(wiring.mosi), baud: BAUD });
}

export function selectLamp(lamp: number): void {
  chip = chips[lamp >> 3];
  head = START | ((lamp >> 2) & 1);
  channel = (lamp & 3) << 6;
}

/** Byte by byte: sending a number returns a number, so nothing is allocated. */
export function readLamp(): number {
  digitalWrite(chip, 0);
  spi.send(head);
  const high = spi.send(channel) & 15;
  const low = spi.send(0);
  digitalWrite(chip, 1);
  return ((high << 8) | low) / 4096;
}
