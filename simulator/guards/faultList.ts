// Every single fault of a guard circuit: each part open and shorted, and what else its kind can do.
import type { Mode } from './models';
import type { Breakage } from './netlist';
import type { Circuit, Kind } from './part';

const CONTACT: Mode[] = ['open', 'short'];
const DRIFT: Mode[] = ['value doubled', 'value halved'];
const STUCK: Mode[] = ['output stuck high', 'output stuck low', 'output open'];
const FET: Mode[] = [...CONTACT, 'gate-source short', 'gate-drain short', 'gate open'];

/** What can happen to a part of a kind. A coil's winding does not gain copper: its inductance is a tolerance. */
const MODES: { [kind in Kind]: Mode[] } = {
  resistor: [...CONTACT, ...DRIFT],
  capacitor: [...CONTACT, ...DRIFT],
  diode: CONTACT,
  lamp: CONTACT,
  nfet: FET,
  pfet: FET,
  coil: CONTACT,
  fuse: CONTACT,
  'photo-MOSFET': [...CONTACT, 'lamp open', 'lamp short'],
  button: CONTACT,
  monostable: [...CONTACT, ...STUCK, 'acts on the level'],
  counter: [...CONTACT, ...STUCK, 'oscillator stopped', 'always in reset', 'never reset'],
  comparator: [...CONTACT, ...STUCK],
};

/** The controller's two pins, as the guards see them. */
const PINS = ['drive', 'enable'];
const PIN_MODES: Mode[] = ['open', 'output stuck high', 'output stuck low'];

/** All single faults of a circuit, in the order of its parts, the controller's pins last. */
export function singleFaults(circuit: Circuit): Breakage[] {
  const ofParts = circuit.parts.flatMap(({ id, kind }) => MODES[kind].map((mode) => ({ part: id, mode })));
  const ofPins = PINS.flatMap((part) => PIN_MODES.map((mode) => ({ part, mode })));
  return [...ofParts, ...ofPins];
}
