// The guard board of docs/guards.md. Controller pins come in on `drive` and `enable`; the coil hangs between
// the timer's switch on the high side and those of the detector and of `enable` on the low side.
import { type Circuit, type Part, type Section, type Spread, withParts } from './part';

const METAL_FILM = { tolerance: 0.01, ppm: 100 };
/** Polyester film, tolerance and temperature coefficient of the usual 5 % type (from memory). */
const FILM = { tolerance: 0.05, ppm: 400 };

function resistor(
  id: string,
  section: Section,
  value: number,
  text: string,
  a: string,
  b: string,
  duty: string,
): Part {
  const rating = `${text}, 1 %, metal film, 0.25 W`;
  return { id, kind: 'resistor', section, pins: [a, b], value, ...METAL_FILM, rating, duty };
}

function film(
  id: string,
  section: Section,
  value: number,
  text: string,
  a: string,
  b: string,
  duty: string,
): Part {
  const rating = `${text}, 5 %, polyester film, 63 V`;
  return { id, kind: 'capacitor', section, pins: [a, b], value, ...FILM, rating, duty };
}

const LOGIC_FET = 'N-channel MOSFET, 60 V, 0.2 A, gate threshold 0.8 to 1.6 V, avalanche rated';
const SIGNAL_DIODE = 'silicon signal diode, 75 V';

const DETECTOR: Part[] = [
  resistor('R1', 'detector', 1e3, '1 kΩ', 'drive', 'edge', 'limits the current into Q4'),
  resistor('R2', 'detector', 100e3, '100 kΩ', 'edge', '0', 'keeps Q4 off while the pin floats'),
  {
    ...{ id: 'Q4', kind: 'nfet', section: 'detector', pins: ['trigger', 'edge', '0'], rating: LOGIC_FET },
    duty: 'turns a rising edge of 3.3 V into a falling one of 12 V',
  },
  resistor('R3', 'detector', 10e3, '10 kΩ', 'vdd', 'trigger', 'pulls the trigger up'),
  {
    ...{ id: 'U1', kind: 'monostable', section: 'detector', pins: ['trigger', 'hold', 'keep', 'vdd'] },
    rating: 'CD4538-type retriggerable monostable, one half used, the other held in reset',
    duty: 'holds for R4·C1 after every falling edge of its trigger; a level does nothing',
  },
  resistor('R4', 'detector', 909e3, '909 kΩ', 'vdd', 'hold', 'sets the time'),
  film('C1', 'detector', 1e-6, '1 µF', 'hold', '0', 'sets the time'),
  resistor('R5', 'detector', 10e3, '10 kΩ', 'keep', 'gate1', 'keeps a broken Q1 from U1'),
  resistor('R6', 'detector', 100e3, '100 kΩ', 'gate1', '0', 'keeps Q1 off if U1 fails open'),
  {
    ...{ id: 'Q1', kind: 'nfet', section: 'detector', pins: ['low', 'gate1', 'middle'], rating: LOGIC_FET },
    duty: 'switch of the pulse detector',
  },
];

const ENABLE: Part[] = [
  resistor('R7', 'enable', 1e3, '1 kΩ', 'enable', 'gate2', 'keeps a broken Q2 from the controller'),
  resistor(
    'R8',
    'enable',
    6.8e3,
    '6.8 kΩ',
    'gate2',
    '0',
    'keeps Q2 off while the pin floats or is pulled up',
  ),
  resistor('R20', 'enable', 6.8e3, '6.8 kΩ', 'gate2', '0', 'does what R8 does if R8 breaks'),
  {
    ...{ id: 'Q2', kind: 'nfet', section: 'enable', pins: ['middle', 'gate2', '0'], rating: LOGIC_FET },
    duty: 'switch of `enable`',
  },
];

const COIL: Part[] = [
  {
    ...{ id: 'F1', kind: 'fuse', section: 'coil', pins: ['supply', 'fed'], value: 1, tolerance: 0.3, ppm: 0 },
    ...{ rating: 'fuse, 200 mA, quick', duty: 'ends a short circuit of the coil' },
  },
  resistor('R19', 'coil', 100, '100 Ω', 'supply', 'vdd', 'feeds U1 and U2 apart from the coil'),
  {
    ...{
      id: 'C4',
      kind: 'capacitor',
      section: 'coil',
      pins: ['vdd', '0'],
      value: 10e-6,
      tolerance: 0.2,
      ppm: 0,
    },
    ...{ rating: '10 µF, 20 %, 25 V, ceramic', duty: 'steadies the supply of U1 and U2' },
  },
  {
    ...{
      id: 'K1',
      kind: 'coil',
      section: 'coil',
      pins: ['high', 'low'],
      value: 360,
      tolerance: 0.1,
      ppm: 3930,
    },
    rating: 'relay, coil 12 V, 360 Ω, 1 H; contact closed at rest, for the inrush of wiring.md',
    duty: 'opens the permanent live',
  },
  {
    ...{ id: 'D1', kind: 'diode', section: 'coil', pins: ['low', 'high'], rating: SIGNAL_DIODE },
    duty: "takes the coil's current when it is switched off",
  },
];

const TIMER: Part[] = [
  {
    ...{ id: 'Q3', kind: 'pfet', section: 'timer', pins: ['high', 'gate3', 'fed'] },
    ...{ rating: 'P-channel MOSFET, 60 V, 0.2 A, gate ±20 V', duty: 'switch of the timer' },
  },
  resistor('R9', 'timer', 10e3, '10 kΩ', 'over', 'gate3', 'keeps a broken Q3 from U2'),
  resistor('R10', 'timer', 1e6, '1 MΩ', 'gate3', 'fed', 'keeps Q3 off if U2 fails open'),
  {
    ...{ id: 'U2', kind: 'counter', section: 'timer' },
    pins: ['reset', 'osc10', 'osc9', 'osc11', 'over', 'tick', 'vdd'],
    rating: 'CD4060-type 14-stage counter with oscillator',
    duty: 'Q14 goes high after 8,192 periods of its oscillator',
  },
  resistor('R11', 'timer', 976e3, '976 kΩ', 'osc10', 'swing', "sets the oscillator's period"),
  film('C2', 'timer', 680e-9, '680 nF', 'swing', 'osc9', "sets the oscillator's period"),
  resistor('R12', 'timer', 4.7e6, '4.7 MΩ', 'swing', 'osc11', "keeps the input's clamps out of the timing"),
  {
    ...{ id: 'D2', kind: 'diode', section: 'timer', pins: ['over', 'osc11'], rating: SIGNAL_DIODE },
    duty: 'stops the oscillator at the end, so that Q14 stays high',
  },
  resistor(
    'R13',
    'timer',
    1e6,
    '1 MΩ',
    'low',
    'reset',
    'with C3: resets once the coil has been off for 0.4 s or more',
  ),
  film('C3', 'timer', 1e-6, '1 µF', 'reset', '0', 'with R13'),
  resistor('R14', 'timer', 10e6, '10 MΩ', 'reset', '0', 'lets the timer run if R13 breaks'),
  resistor(
    'R15',
    'timer',
    100e3,
    '100 kΩ',
    'fed',
    'low',
    'tells the timer that the coil is off, also after its own end',
  ),
  {
    ...{ id: 'S1', kind: 'button', section: 'timer', pins: ['fed', 'press'] },
    ...{ rating: 'push button, self-resetting', duty: 'held by hand, proves the timer' },
  },
  resistor('R16', 'timer', 2.2e3, '2.2 kΩ', 'press', 'light', 'sets the current of U3'),
  {
    ...{ id: 'U3', kind: 'photo-MOSFET', section: 'timer', pins: ['light', 'osc10', 'quick'] },
    rating: 'photo-MOSFET relay, 60 V, on below 50 Ω, off-state leakage up to 0.1 µA at 60 °C',
    duty: 'makes the oscillator fast',
  },
  resistor('R17', 'timer', 5.49e3, '5.49 kΩ', 'quick', 'swing', 'sets the fast period'),
  resistor('R18', 'timer', 10e3, '10 kΩ', 'tick', 'glow', 'sets the current of H1'),
  {
    ...{ id: 'H1', kind: 'lamp', section: 'timer', pins: ['glow', '0'], rating: 'LED, 2 mA' },
    duty: 'changes every 12 s while the timer runs at its own pace',
  },
];

const INPUT_THRESHOLD =
  'CMOS input levels 30 % and 70 % of the supply: CD4000B series, JEDEC JESD13-B (1980), from memory';
const GATE = 'small logic-level MOSFETs, data-sheet range 0.8 to 1.6 V, from memory';

const SPREADS: Spread[] = [
  {
    ...{ part: 'U1', name: 'factor', low: 0.95, typical: 1.05, high: 1.13 },
    source:
      'pulse width / (R·C): HEF4538B product data sheet, NXP, Rev. 6 (2009), table 8: 1.01 to 1.13; CD4538BC nominally 1.00, 5 % below it from memory',
  },
  { part: 'U2', name: 'threshold', low: 0.3, typical: 0.5, high: 0.7, source: INPUT_THRESHOLD },
  {
    ...{ part: 'U2', name: 'output', low: 150, typical: 300, high: 600 },
    source: 'output resistance of CD4000B outputs at 12 V, Ω, from memory',
  },
  { part: 'Q1', name: 'gate', low: 0.8, typical: 1.2, high: 1.6, source: GATE },
  { part: 'Q2', name: 'gate', low: 0.8, typical: 1.2, high: 1.6, source: GATE },
  { part: 'Q4', name: 'gate', low: 0.8, typical: 1.2, high: 1.6, source: GATE },
  {
    ...{ part: 'K1', name: 'henry', low: 0.5, typical: 1, high: 1.5 },
    source: 'inductance of a 400 mW relay coil, H, from memory',
  },
  {
    ...{ part: 'U3', name: 'leak', low: 120e6, typical: 1e9, high: 1e9 },
    source: 'off-state resistance, Ω: 0.1 µA at 12 V, demanded of the part',
  },
];

export const guardBoard: Circuit = {
  name: 'guard board',
  parts: [...COIL, ...DETECTOR, ...ENABLE, ...TIMER],
  spreads: SPREADS,
  supplyVolts: 12,
  supplyTolerance: 0.05,
};

/** Periods of the counter's oscillator until its Q14 goes high. */
export const COUNTED_PERIODS = 8192;

/** All but the timer's clockwork: what holds and releases the coil within seconds. */
export const releasing: Circuit = withParts(
  guardBoard,
  ({ id, section }) => section !== 'timer' || ['Q3', 'R9', 'R10'].includes(id),
);

/** The timer's oscillator alone. */
export const clockwork: Circuit = withParts(guardBoard, ({ id }) =>
  ['F1', 'R19', 'C4', 'U2', 'R11', 'C2', 'R12', 'D2', 'S1', 'R16', 'U3', 'R17'].includes(id),
);
