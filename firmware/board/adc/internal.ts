// The microcontroller's own converter behind a 16-way analogue multiplexer.

export interface AdcWiring {
  driver: 'internal';
  /** Four select lines of the multiplexer, highest bit first. */
  select: string[];
  /** Analogue input at the multiplexer's output. */
  lamp: string;
}

let lampInput: Pin;
let select: Pin[];

export function setUpAdc(wiring: AdcWiring): void {
  lampInput = new Pin(wiring.lamp);
  pinMode(lampInput, 'analog');
  select = [];
  for (let i = 0; i < wiring.select.length; i++) {
    const pin = new Pin(wiring.select[i]);
    pinMode(pin, 'output');
    select.push(pin);
  }
}

export function selectLamp(lamp: number): void {
  digitalWrite(select, lamp);
}

export function readLamp(): number {
  return analogRead(lampInput);
}
