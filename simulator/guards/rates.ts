// How often parts fail, and in which way. Handbook figures, on the high side for parts of today.
import type { Mode } from './models';
import type { Kind } from './part';

/**
 * Failures in 10^9 h, all modes together: MIL-HDBK-217F Notice 2 (1995), appendix A, parts count, ground fixed, with the
 * quality factor of commercial parts. Figures as restated in the tables of a public reliability program (V2), except
 * those marked as from memory.
 */
const FIT: { [kind in Kind | 'pin']: { fit: number; source: string } } = {
  resistor: { fit: 31, source: 'film, RN: 0.0031, quality 10' },
  capacitor: { fit: 58, source: 'metallized plastic film, CH: 0.0058, quality 10' },
  diode: { fit: 60, source: 'switching diode: 0.0075, quality 8' },
  lamp: { fit: 10, source: 'light emitter: 0.0012, quality 8' },
  nfet: { fit: 792, source: 'silicon FET below 400 MHz: 0.099, quality 8' },
  pfet: { fit: 792, source: 'silicon FET below 400 MHz: 0.099, quality 8' },
  coil: { fit: 2520, source: 'general-purpose relay, the whole of it: 0.28, quality 9' },
  fuse: { fit: 20, source: 'fuse: 0.010, environment 2 (from memory)' },
  'photo-MOSFET': { fit: 560, source: 'opto-isolator: 0.070, quality 8' },
  button: { fit: 60, source: 'push button: 0.0030, quality 20' },
  monostable: { fit: 150, source: 'MOS logic, 1 to 100 gates: 0.015, quality 10 (quality from memory)' },
  counter: { fit: 150, source: 'MOS logic, 1 to 100 gates: 0.015, quality 10 (quality from memory)' },
  comparator: { fit: 150, source: 'MOS logic, 1 to 100 gates: 0.015, quality 10 (quality from memory)' },
  pin: { fit: 150, source: 'an output of the controller, counted like a chip of 1 to 100 gates (assumed)' },
};

type Shares = { [mode in Mode]?: number };

/**
 * Shares of the failure modes: MIL-HDBK-338B (1998), section on failure mode distributions, as restated in the same
 * program (V2). What it calls a change of parameter or an open input is spread over the modes of ours that it may
 * mean, the dangerous ones among them; a switch "with a low output" counts as one that conducts.
 */
const RESISTOR: Shares = { open: 0.59, short: 0.05, 'value doubled': 0.18, 'value halved': 0.18 };
const FILM: Shares = { open: 0.42, short: 0.4, 'value doubled': 0.09, 'value halved': 0.09 };
const FET: Shares = {
  ...{ short: 0.51, 'gate-drain short': 0.22, 'gate-source short': 0.17, open: 0.05, 'gate open': 0.05 },
};
const STUCK: Shares = { 'output stuck high': 0.28, 'output stuck low': 0.28, 'output open': 0.22 };
const COUNTER: Shares = { 'oscillator stopped': 0.044, 'always in reset': 0.044, 'never reset': 0.044 };

const SHARES: { [kind in Kind | 'pin']: Shares } = {
  resistor: RESISTOR,
  capacitor: FILM,
  diode: { short: 0.57, open: 0.43 },
  lamp: { open: 0.7, short: 0.3 },
  nfet: FET,
  pfet: FET,
  coil: { open: 0.5, short: 0.5 },
  fuse: { short: 0.92, open: 0.08 },
  'photo-MOSFET': { 'lamp open': 0.35, 'lamp short': 0.15, open: 0.25, short: 0.25 },
  button: { open: 0.65, short: 0.35 },
  monostable: { ...STUCK, 'acts on the level': 0.11, open: 0.055, short: 0.055 },
  counter: { ...STUCK, ...COUNTER, open: 0.044, short: 0.044 },
  comparator: { ...STUCK, open: 0.11, short: 0.11 },
  pin: { 'output stuck high': 0.28, 'output stuck low': 0.28, open: 0.44 },
};

/** Failures in 10^9 h of a kind of part, or of a controller's pin, and where the figure comes from. */
export function rateOf(kind: Kind | 'pin'): { fit: number; source: string } {
  return FIT[kind];
}

/** Share of a part's failures that are of this mode. */
export function shareOf(kind: Kind | 'pin', mode: Mode): number {
  return SHARES[kind][mode] ?? 0;
}
