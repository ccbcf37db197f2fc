// Parts as SPICE: one function a kind. Chips are behavioural: what their data sheets promise at the pins, with
// the properties that differ between pieces as voltage sources, so that one run can alter them.
import type { Kind, Part } from './part';

/** How a part is broken; `value` ones change its value, all others replace its model. */
export type Mode =
  | 'open'
  | 'short'
  | 'value doubled'
  | 'value halved'
  | 'gate-source short'
  | 'gate-drain short'
  | 'gate open'
  | 'lamp open'
  | 'lamp short'
  | 'output stuck high'
  | 'output stuck low'
  | 'output open'
  | 'acts on the level'
  | 'oscillator stopped'
  | 'always in reset'
  | 'never reset';

/** What an open part still conducts, and a shorted one still resists, ohm; what is left of a capacitor, farad. */
const OPEN_OHM = 1e10;
const SHORT_OHM = 0.1;
const OPEN_FARAD = 5e-12;

/**
 * A node that is 1 V while `share` is below 0, else 0 V. The switch makes the simulator find the crossing, and its
 * small hysteresis keeps an oscillator from resting on its threshold.
 */
function below(node: string, share: string): string[] {
  return [
    `B_${node}_x ${node}_x 0 V=${share}`,
    `S_${node} ${node} 0 ${node}_x 0 EDGE`,
    `V_${node}_1 ${node}_1 0 1`,
    `R_${node} ${node}_1 ${node} 1k`,
  ];
}

function bridge(part: Part, name: string, a: string, b: string, ohm: number): string {
  return `R_${part.id}_${name} ${a} ${b} ${ohm}`;
}

function twoPins(letter: string, part: Part): string[] {
  return [`${letter}_${part.id} ${part.pins[0]} ${part.pins[1]} ${part.value}`];
}

function coil(part: Part): string[] {
  const [a, b] = part.pins;
  return [`R_${part.id} ${a} ${part.id}_x ${part.value}`, `L_${part.id} ${part.id}_x ${b} 1`];
}

function fet(part: Part, mode: Mode | undefined): string[] {
  const [drain, gate, source] = part.pins;
  const id = part.id;
  const [type, model] = part.kind === 'nfet' ? ['N', 'NMOS(VTO=1.2 KP=0.8'] : ['P', 'PMOS(VTO=-2 KP=0.5'];
  const inner = mode === 'gate open' ? `${id}_g` : gate;
  const lines = [
    `M_${id} ${drain} ${inner} ${source} ${source} ${type}_${id}`,
    `.model ${type}_${id} ${model} LAMBDA=0.01)`,
    type === 'N' ? `D_${id} ${source} ${drain} BODY` : `D_${id} ${drain} ${source} BODY`,
    `C_${id} ${inner} ${source} 50p`,
  ];
  // A gate that hangs in the air goes where it does harm: the drain's leakage turns the switch on.
  if (mode === 'gate open') lines.push(bridge(part, 'g', inner, drain, OPEN_OHM));
  if (mode === 'gate-source short') lines.push(bridge(part, 'gs', gate, source, SHORT_OHM));
  if (mode === 'gate-drain short') lines.push(bridge(part, 'gd', gate, drain, SHORT_OHM));
  return lines;
}

/** A source that holds a property of a chip, so that `alter` can change it. */
function property(part: Part, name: string, value: number): string {
  return `V_${part.id}_${name} ${part.id}_${name} 0 ${value}`;
}

/** What stands behind an output pin: the logic's level, or what it is stuck at. */
function output(id: string, level: string, pin: string, supply: string, mode: Mode | undefined): string[] {
  const stuck = mode === 'output stuck high' ? '1' : mode === 'output stuck low' ? '0' : level;
  const ohm = mode === 'output open' ? OPEN_OHM : 300;
  return [`B_${id}_o ${id}_o 0 V=v(${supply})*(${stuck})`, `R_${id}_o ${id}_o ${pin} ${ohm}`];
}

/**
 * The timing pin is discharged for a moment after each falling edge, then charged through the resistor; the
 * output is high until it passes the upper reference.
 */
function monostable(part: Part, mode: Mode | undefined): string[] {
  const [trigger, timing, out, supply] = part.pins;
  const id = part.id;
  const past = mode === 'acts on the level' ? `v(${supply})` : `v(${id}_past)`;
  return [
    `R_${id}_past ${trigger} ${id}_past 20k`,
    `C_${id}_past ${id}_past 0 50n`,
    `B_${id}_edge ${id}_edge 0 V=1/(1+exp(-40*((${past}-v(${trigger}))/(v(${supply})+0.01)-0.5)))`,
    `S_${id} ${timing} 0 ${id}_edge 0 DISCHARGE`,
    property(part, 'factor', 1.05),
    ...below(`${id}_on`, `v(${timing})/(v(${supply})+0.01)-1+exp(-v(${id}_factor))`),
    ...output(id, `v(${id}_on)`, out, supply, mode),
  ];
}

function comparator(part: Part, mode: Mode | undefined): string[] {
  const [plus, out, supply] = part.pins;
  return [
    property(part, 'reference', 2),
    ...below(`${part.id}_on`, `v(${part.id}_reference)-v(${plus})`),
    ...output(part.id, `v(${part.id}_on)`, out, supply, mode),
  ];
}

const GATES = (id: string, stages: number): string[] => {
  const chain = Array.from({ length: stages }, (_, i) => {
    const clock = i === 0 ? 'clock' : `n${i}`;
    return `A_${id}_${i + 1} ${id}_n${i + 1} ${id}_${clock} null ${id}_clear ${id}_q${i + 1} ${id}_n${i + 1} STAGE`;
  });
  const tick = Math.min(4, stages - 1);
  return [
    `A_${id}_in [${id}_level ${id}_zero] [${id}_clock ${id}_clear] TO_LOGIC`,
    ...chain,
    `A_${id}_out [${id}_q${stages} ${id}_q${tick}] [${id}_last ${id}_tick] TO_LEVEL`,
  ];
};

/**
 * Two inverters with the oscillator's parts around them, input clamps, and the chain of flip-flops. `stages` is
 * 14 on the part; fewer make a run short, and its time is multiplied by the missing halvings.
 */
function counter(part: Part, mode: Mode | undefined, stages: number): string[] {
  const [reset, osc10, osc9, osc11, out, tick, supply] = part.pins;
  const id = part.id;
  const share = (pin: string) => `v(${pin})/(v(${supply})+0.01)`;
  const inReset = mode === 'always in reset' ? '1' : mode === 'never reset' ? '0' : `u(${share(reset)}-0.5)`;
  const runs = mode === 'oscillator stopped' ? '0' : `(1-v(${id}_zero))`;
  return [
    property(part, 'threshold', 0.5),
    `B_${id}_zero ${id}_zero 0 V=${inReset}`,
    ...below(`${id}_not`, `${share(osc11)}-v(${id}_threshold)`),
    `B_${id}_10 ${id}_10 0 V=v(${supply})*${runs}*v(${id}_not)`,
    `R_${id}_10 ${id}_10 ${osc10} 300`,
    `B_${id}_9 ${id}_9 0 V=v(${supply})-v(${id}_10)`,
    `R_${id}_9 ${id}_9 ${osc9} 300`,
    `D_${id}_up ${osc11} ${supply} CLAMP`,
    `D_${id}_down 0 ${osc11} CLAMP`,
    `C_${id} ${osc11} 0 6p`,
    `B_${id}_level ${id}_level 0 V=${share(`${id}_9`)}`,
    ...GATES(id, stages),
    ...output(id, `v(${id}_last)`, out, supply, mode),
    `B_${id}_t ${id}_t 0 V=v(${supply})*v(${id}_tick)`,
    `R_${id}_t ${id}_t ${tick} 300`,
  ];
}

function photoFet(part: Part, mode: Mode | undefined): string[] {
  const [lamp, a, b] = part.pins;
  const id = part.id;
  return [
    mode === 'lamp open' ? bridge(part, 'l', lamp, '0', OPEN_OHM) : `D_${id} ${lamp} ${id}_k LAMP`,
    ...(mode === 'lamp short' ? [bridge(part, 'l', lamp, '0', SHORT_OHM)] : []),
    `V_${id}_k ${id}_k 0 0`,
    `B_${id}_lit ${id}_lit 0 V=i(V_${id}_k)*1000`,
    `S_${id} ${a} ${b} ${id}_lit 0 PHOTO`,
    `R_${id}_leak ${a} ${b} 1e9`,
  ];
}

const PLAIN: { [kind in Kind]: (part: Part, mode: Mode | undefined, stages: number) => string[] } = {
  resistor: (part) => twoPins('R', part),
  fuse: (part) => twoPins('R', part),
  capacitor: (part) => twoPins('C', part),
  diode: (part) => [`D_${part.id} ${part.pins[0]} ${part.pins[1]} SIGNAL`],
  lamp: (part) => [`D_${part.id} ${part.pins[0]} ${part.pins[1]} LAMP`],
  button: (part) => [`S_${part.id} ${part.pins[0]} ${part.pins[1]} hand 0 PHOTO`],
  nfet: fet,
  pfet: fet,
  coil,
  'photo-MOSFET': photoFet,
  monostable,
  counter,
  comparator,
};

/** Pins between which a part opens or shorts as a whole. */
function pair(part: Part): [string, string] {
  const { kind, pins } = part;
  // A chip opens or shorts at its supply pin, the last one.
  if (kind === 'monostable' || kind === 'counter' || kind === 'comparator') return [pins.at(-1)!, '0'];
  if (kind === 'nfet' || kind === 'pfet') return [pins[0], pins[2]];
  return kind === 'photo-MOSFET' ? [pins[1], pins[2]] : [pins[0], pins[1]];
}

/** Lines of one part, sound or broken. A counter has `stages` flip-flops. */
export function linesOf(part: Part, mode: Mode | undefined, stages: number): string[] {
  const [a, b] = pair(part);
  const sound = PLAIN[part.kind];
  if (mode === 'value doubled') return sound({ ...part, value: part.value! * 2 }, undefined, stages);
  if (mode === 'value halved') return sound({ ...part, value: part.value! / 2 }, undefined, stages);
  if (mode === 'short') return [...sound(part, undefined, stages), bridge(part, 's', a, b, SHORT_OHM)];
  if (mode !== 'open') return sound(part, mode, stages);
  if (part.kind === 'coil') return sound({ ...part, value: OPEN_OHM }, undefined, stages);
  if (part.kind === 'capacitor') return sound({ ...part, value: OPEN_FARAD }, undefined, stages);
  // Nothing of it is left: the outputs of a chip without supply float.
  return [bridge(part, 'o', a, b, OPEN_OHM)];
}

/** Models that the lines above name. */
export const MODELS = [
  '.model SIGNAL D(IS=4n N=1.9 RS=0.5 BV=75)',
  '.model LAMP D(IS=1e-16 N=1.6 RS=5)',
  '.model BODY D(IS=1e-13 BV=60 RS=1)',
  '.model CLAMP D(IS=1e-14)',
  '.model DISCHARGE SW(VT=0.5 VH=0.1 RON=200 ROFF=1e11)',
  '.model PHOTO SW(VT=1 VH=0.1 RON=30 ROFF=1e10)',
  '.model EDGE SW(VT=0 VH=1m RON=1 ROFF=1e9)',
  '.model TO_LOGIC adc_bridge(in_low=0.45 in_high=0.55)',
  '.model TO_LEVEL dac_bridge(out_low=0 out_high=1 t_rise=1u t_fall=1u)',
  '.model STAGE d_dff(clk_delay=100n set_delay=100n reset_delay=100n ic=0)',
];
