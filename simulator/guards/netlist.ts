// Text for ngspice: a circuit, sound or with one broken part, under a timeline, and what to measure.
import { linesOf, MODELS, type Mode } from './models';
import { type Circuit, ratedValue } from './part';
import type { Timeline } from './timeline';

export interface Breakage {
  part: string;
  mode: Mode;
}

export interface Bench {
  circuit: Circuit;
  timeline: Timeline;
  breakages: Breakage[];
  /** Flip-flops of the counter: 14, or fewer for a short run. */
  stages: number;
  celsius: number;
}

/** Every relay of this kind has dropped out below this share of its rated current (relays release at 5 % or above, from memory). */
const RELEASE_SHARE = 0.05;
/** Highest share of the rated voltage that a 12 V relay needs to operate at 20 °C (usual data-sheet value, from memory). */
const OPERATE_SHARE = 0.75;
const COPPER_PER_KELVIN = 0.00393;
const PIN_VOLTS = 3.3;
const EDGE_SEC = 1e-5;
/** After power-up the detector may hold for once: by then it has let go, s. */
const POWERED_UP_SEC = 1.5;

/** Least coil voltage that holds any relay of this type, V: copper that is warmer needs more. */
export function holdVolts(circuit: Circuit, celsius: number): number {
  return circuit.supplyVolts * OPERATE_SHARE * (1 + COPPER_PER_KELVIN * (celsius - 20));
}

/** Coil current below which any relay of this type has dropped out, A. */
export function releaseAmps(circuit: Circuit): number {
  return (RELEASE_SHARE * circuit.supplyVolts) / ratedValue(circuit, 'K1');
}

function source(name: string, node: string, volts: number, changes: [number, number][]): string {
  const points = changes.flatMap(([at, level], i) => {
    const before = i === 0 ? 0 : changes[i - 1][1];
    return [`${at} ${before * volts}`, `${at + EDGE_SEC} ${level * volts}`];
  });
  return `V_${name} ${node} 0 PWL(0 0${points.map((p) => ` ${p}`).join('')})`;
}

/**
 * A controller pin: 30 ohm, or the pull-up that it has in reset; its output may be stuck, its wire broken.
 * Some microcontrollers start with pull-ups of 30 kΩ or more (data-sheet minimum, from memory).
 */
function controllerPin(name: string, changes: [number, number][], mode: Mode | undefined): string[] {
  const stuck = mode === 'output stuck high' ? 1 : 0;
  const isStuck = mode === 'output stuck high' || mode === 'output stuck low';
  const wire =
    mode === 'open' ? [`R_${name} ${name}_pin ${name} 1e10`] : [`R_${name} ${name}_pin ${name} 1m`];
  return [
    source(name, `${name}_in`, PIN_VOLTS, isStuck ? [[EDGE_SEC, stuck]] : changes),
    `S_${name} ${name}_in ${name}_pin powered 0 PIN`,
    `V_${name}_up ${name}_up 0 ${PIN_VOLTS}`,
    `R_${name}_up ${name}_up ${name}_weak 30k`,
    `S_${name}_up ${name}_weak ${name}_pin lost 0 PIN`,
    ...wire,
  ];
}

const hasCoil = (circuit: Circuit) => circuit.parts.some(({ kind }) => kind === 'coil');

/** Commands for one run of a timeline: what to keep, the run itself, and what to measure in it. */
export function commands(circuit: Circuit, timeline: Timeline): string[] {
  const released = hasCoil(circuit) ? releaseAmps(circuit) : 0;
  const half = circuit.supplyVolts / 2;
  const { pace } = timeline;
  const rest = timeline.drive[0][0];
  return [
    `save${hasCoil(circuit) ? ' i(l_k1) v(pull)' : ''}${pace ? ' v(osc10)' : ''}`,
    `tran 1m ${timeline.end} 0 ${timeline.step} uic`,
    ...timeline.held.flatMap(([from, to], i) => [
      `meas tran held${i} MIN v(pull) from=${from} to=${to}`,
      `meas tran flow${i} MIN i(l_k1) from=${from} to=${to}`,
    ]),
    ...timeline.releases.flatMap(({ name, from, to }) => [
      `meas tran ${name}_off when i(l_k1)=${released} fall=1 td=${from}`,
      `meas tran ${name}_late FIND i(l_k1) at=${to - 0.001}`,
    ]),
    ...(pace ? [1, 1 + pace.periods] : []).map(
      (fall, i) => `meas tran fall${i} when v(osc10)=${half} fall=${fall} td=${pace!.from}`,
    ),
    ...(rest > POWERED_UP_SEC ? [`meas tran rest MAX i(l_k1) from=${POWERED_UP_SEC} to=${rest}`] : []),
  ];
}

/** The circuit and its stimuli, without any command. Without counter its output is low, without coil its reset. */
export function netlist(bench: Bench): string[] {
  const { circuit, timeline } = bench;
  const modeOf = (id: string) => bench.breakages.find((b) => b.part === id)?.mode;
  return [
    `* ${circuit.name}`,
    `.options temp=${bench.celsius} reltol=2e-3 abstol=1e-9 vntol=1e-5 method=gear`,
    `V_supply supply 0 ${circuit.supplyVolts}`,
    ...controllerPin('drive', timeline.drive, modeOf('drive')),
    ...controllerPin('enable', timeline.enable, modeOf('enable')),
    source('hand', 'hand', 2, timeline.hand),
    source('lost', 'lost', 1, timeline.floats),
    'B_powered powered 0 V=1-v(lost)',
    '.model PIN SW(VT=0.5 VH=0.1 RON=30 ROFF=1e10)',
    ...circuit.parts.flatMap((part) => linesOf(part, modeOf(part.id), bench.stages)),
    ...(hasCoil(circuit) ? ['B_pull pull 0 V=v(high)-v(low)'] : ['R_stub reset 0 1']),
    ...(circuit.parts.some(({ kind }) => kind === 'counter') ? [] : ['R_stub over 0 1']),
    ...MODELS,
  ];
}
