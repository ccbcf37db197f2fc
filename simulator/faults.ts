// Every fault that the simulator can plant, as plain data, and how one is planted into a simulated
// controller. `at` and every other instant in simulated ms since the start; a fault lasts until `repairedAt`
// (it broke and someone repaired it) or `to` (it passes by itself), or for good where neither is given.
import { type Ending, SelfTest } from '../firmware/contract/codes';
import type { SimulatedFlash } from './flash';
import { type Impairments, newImpairments } from './impairments';
import { addResets, type BoardPlant } from './plant/board';
import type { CircuitPlant } from './plant/circuit';
import type { ClockChip } from './plant/clockChip';
import { type Luminaire, plantLuminaireFault } from './plant/luminaire';
import type { LuminaireFault, OwnFault, WithOther } from './plant/luminaireFaults';
import { addSpan, type Span } from './plant/spans';
import { fork } from './random';
import type { SimulatedNet } from './wire';

/** A fault of one luminaire or its sensor; a repair fits a new part. */
interface OfLuminaire {
  luminaire: string;
  at: number;
  repairedAt?: number;
}

/** A part of the tester that breaks and is repaired. */
interface Broken {
  at: number;
  repairedAt: number;
}

/** Something that passes by itself. */
interface Passing {
  at: number;
  to: number;
}

export type LuminaireFaultSpec = OfLuminaire & (OwnFault | (WithOther & { from: string }));

export type CircuitFaultSpec =
  | { kind: 'circuit charger dead'; at: number; repairedAt?: number }
  | (Broken & { kind: 'relay stuck closed' })
  | (Broken & { kind: 'relay sticks open'; stickMs: number })
  | (Broken & { kind: 'relay sticks until exercised'; exercises: number })
  | (Broken & { kind: 'relay bounces'; bounceMs: number })
  | (Broken & { kind: 'coil open' })
  | (Passing & { kind: 'supply outage' })
  | { kind: 'supply dip'; at: number; lengthMs: number }
  /** The senses flicker around their threshold; the luminaires keep their supply. */
  | (Passing & { kind: 'brown-out'; everyMs: number; lowMs: number })
  /** The inrush of the next restore trips the breaker before the circuit, for `offMs`. */
  | { kind: 'inrush trip'; at: number; offMs: number }
  /** The guard that `ending` names does not release the coil. */
  | (Broken & { kind: 'guard fails'; ending: Ending })
  /** No module of the bus is heard. */
  | (Broken & { kind: 'bus cut' })
  /** This share of the modules' answers is damaged. */
  | (Broken & { kind: 'bus noise'; share: number })
  | (Passing & { kind: 'key left turned' })
  | (Passing & { kind: 'stop pressed' })
  | (Passing & { kind: 'person at night' });

export type BoardFaultSpec =
  | (Passing & { kind: 'power cut' })
  | { kind: 'reset'; at: number }
  | { kind: 'burst of resets'; at: number; count: number; everyMs: number }
  /** The program hangs until the watchdog restarts it. */
  | (Passing & { kind: 'program hangs' })
  /** The crystal runs fast (above 0) or slow by parts per million. */
  | (Broken & { kind: 'clock drift'; ppm: number })
  /** The host answers with a time that is wrong by this much, or not at all. */
  | (Passing & { kind: 'clock jump'; jumpMs: number })
  | (Passing & { kind: 'clock loss' })
  /** The clock chip's cell runs empty: its time is lost, and it says so. */
  | { kind: 'clock chip empty'; at: number }
  /** Its time is suddenly wrong by this much, and it does not say so. */
  | { kind: 'clock chip jumps'; at: number; jumpMs: number }
  | (Broken & { kind: 'clock chip drift'; ppm: number })
  /** It does not answer: chip, cable or bus is broken. */
  | (Broken & { kind: 'clock chip silent' })
  /** A bit of its bus is stuck, or it answers at random: nothing that is a time. */
  | (Broken & { kind: 'clock chip rubbish' })
  /** A byte of the program in flash, or a cell of memory, has changed. */
  | (Broken & { kind: 'program damaged' })
  | (Broken & { kind: 'memory damaged' })
  | (Broken & { kind: 'converter broken' })
  /** The power fails during the first write from then on, after `bytes` of it. */
  | { kind: 'torn write'; at: number; bytes: number }
  | (Broken & { kind: 'worn flash' })
  /** The flash reports every write as done and keeps none. */
  | (Broken & { kind: 'lying write' })
  /** The flash keeps every write and reports it as failed. */
  | (Broken & { kind: 'denied write' })
  /** Nothing can be read from the flash. */
  | (Passing & { kind: 'unreadable flash' });

export type NetworkFaultSpec = Passing &
  (
    | { kind: 'network loss'; share: number }
    | { kind: 'network duplication'; share: number }
    | { kind: 'network delay'; delayMs: number }
    /** Messages overtake each other: each is up to `delayMs` late. */
    | { kind: 'network reordering'; delayMs: number }
    | { kind: 'network partition' }
    /** Connecting stops the loop for `stopMs` and then succeeds, as with a broker whose backlog is full. */
    | { kind: 'slow connect'; stopMs: number }
    /** Connecting stops the loop and fails; what was sent over an existing connection is lost. */
    | { kind: 'broker off' }
    | { kind: 'access point off' }
  );

/** Planted faults. */
export type FaultSpec = LuminaireFaultSpec | CircuitFaultSpec | BoardFaultSpec | NetworkFaultSpec;
export type FaultKind = FaultSpec['kind'];

/** What each kind of fault affects: the list of all kinds. */
export const FAULT_KINDS: { [kind in FaultKind]: 'luminaire' | 'circuit' | 'board' | 'network' } = {
  'dead lamp': 'luminaire',
  'battery open': 'luminaire',
  'aged battery': 'luminaire',
  'charger dead': 'luminaire',
  'slow start': 'luminaire',
  'dim lamp': 'luminaire',
  'glows on mains': 'luminaire',
  'fed from elsewhere': 'luminaire',
  'sensor open': 'luminaire',
  'sensor short': 'luminaire',
  'sensor saturated': 'luminaire',
  'sensor stuck': 'luminaire',
  'sensor offset': 'luminaire',
  'sensor drift': 'luminaire',
  'sensor noise': 'luminaire',
  'sensor cross-talk': 'luminaire',
  'sensor shared': 'luminaire',
  'module silent': 'luminaire',
  'module slow': 'luminaire',
  'module clash': 'luminaire',
  'circuit charger dead': 'circuit',
  'relay stuck closed': 'circuit',
  'relay sticks open': 'circuit',
  'relay sticks until exercised': 'circuit',
  'relay bounces': 'circuit',
  'coil open': 'circuit',
  'guard fails': 'circuit',
  'supply outage': 'circuit',
  'supply dip': 'circuit',
  'brown-out': 'circuit',
  'inrush trip': 'circuit',
  'bus cut': 'circuit',
  'bus noise': 'circuit',
  'key left turned': 'circuit',
  'stop pressed': 'circuit',
  'person at night': 'circuit',
  'power cut': 'board',
  reset: 'board',
  'burst of resets': 'board',
  'program hangs': 'board',
  'clock drift': 'board',
  'clock jump': 'board',
  'clock loss': 'board',
  'clock chip empty': 'board',
  'clock chip jumps': 'board',
  'clock chip drift': 'board',
  'clock chip silent': 'board',
  'clock chip rubbish': 'board',
  'program damaged': 'board',
  'memory damaged': 'board',
  'converter broken': 'board',
  'torn write': 'board',
  'worn flash': 'board',
  'lying write': 'board',
  'denied write': 'board',
  'unreadable flash': 'board',
  'network loss': 'network',
  'network duplication': 'network',
  'network delay': 'network',
  'network reordering': 'network',
  'network partition': 'network',
  'slow connect': 'network',
  'broker off': 'network',
  'access point off': 'network',
};

/** What faults are planted into: a simulated controller with its circuit, flash and wire. */
export interface FaultTarget {
  plant: CircuitPlant;
  boardPlant: BoardPlant;
  flash: SimulatedFlash;
  net: SimulatedNet;
  spec: { address: string };
  fleet: { seed: number };
}

/** From when until when a fault lasts; the end is infinite where none is given. */
export function spanOf(fault: FaultSpec): Span {
  if ('repairedAt' in fault && fault.repairedAt !== undefined)
    return { from: fault.at, to: fault.repairedAt };
  return { from: fault.at, to: 'to' in fault ? fault.to : Number.POSITIVE_INFINITY };
}

/**
 * Plants one fault, before the simulation or, with `at` not in the past, during it: then the controller must
 * be rescheduled. Faults of a kind may overlap: of two in force at once the one planted last counts; outages
 * and the like are joined.
 */
export function plantFault(target: FaultTarget, fault: FaultSpec): void {
  // The prepared readings do not include it.
  target.plant.readings.until = Math.min(target.plant.readings.until, 0);
  if ('luminaire' in fault) plantIntoLuminaire(target.plant, fault);
  else if (isOfNetwork(fault)) plantIntoNetwork(target, fault);
  else if (isOfBoard(fault)) plantIntoBoard(target, fault);
  else plantIntoCircuit(target.plant, fault);
}

function isOfNetwork(fault: FaultSpec): fault is NetworkFaultSpec {
  return FAULT_KINDS[fault.kind] === 'network';
}

function isOfBoard(fault: FaultSpec): fault is BoardFaultSpec {
  return FAULT_KINDS[fault.kind] === 'board';
}

function luminaireOf(plant: CircuitPlant, id: string): Luminaire {
  return plant.luminaires.find((l) => l.spec.id === id) as Luminaire;
}

/** Plants a fault of a luminaire; nothing but the circuit is needed for it. */
export function plantIntoLuminaire(plant: CircuitPlant, fault: LuminaireFaultSpec): void {
  const own: LuminaireFault =
    'from' in fault
      ? { ...fault, ...spanOf(fault), with: luminaireOf(plant, fault.from) }
      : { ...fault, ...spanOf(fault) };
  plantLuminaireFault(luminaireOf(plant, fault.luminaire), own);
}

function plantIntoCircuit(plant: CircuitPlant, fault: CircuitFaultSpec): void {
  const span = spanOf(fault);
  const { relay } = plant;
  switch (fault.kind) {
    case 'circuit charger dead':
      for (const l of plant.luminaires) plantLuminaireFault(l, { ...span, kind: 'charger dead' });
      break;
    case 'relay stuck closed':
      relay.welds.push(span);
      break;
    case 'relay sticks open':
      relay.sticks.push({ ...span, stickMs: fault.stickMs, freesAfter: 0 });
      break;
    case 'relay sticks until exercised':
      relay.sticks.push({ ...span, stickMs: Number.POSITIVE_INFINITY, freesAfter: fault.exercises });
      break;
    case 'relay bounces':
      relay.bounces.push({ ...span, bounceMs: fault.bounceMs });
      break;
    case 'coil open':
      relay.openCoils.push(span);
      break;
    case 'guard fails':
      relay.guards.push({ ...span, ending: fault.ending });
      break;
    case 'brown-out':
      plant.brownOuts.push({ ...span, everyMs: fault.everyMs, lowMs: fault.lowMs });
      break;
    case 'inrush trip':
      plant.trips.push({ at: fault.at, offMs: fault.offMs });
      plant.trips.sort((a, b) => a.at - b.at);
      break;
    default:
      plantSpan(plant, fault, span);
  }
}

function plantSpan(plant: CircuitPlant, fault: CircuitFaultSpec, span: Span): void {
  if (fault.kind === 'supply outage') addSpan(plant.outages, span);
  else if (fault.kind === 'supply dip')
    addSpan(plant.outages, { from: fault.at, to: fault.at + fault.lengthMs });
  else if (fault.kind === 'bus cut') addSpan(plant.busCuts, span);
  else if (fault.kind === 'bus noise') plant.busNoise.push({ ...span, share: fault.share });
  else if (fault.kind === 'key left turned') addSpan(plant.keys, span);
  else if (fault.kind === 'stop pressed') addSpan(plant.stops, span);
  else addSpan(plant.visits, span);
}

function plantIntoBoard(target: FaultTarget, fault: BoardFaultSpec): void {
  const { boardPlant: board, flash } = target;
  const span = spanOf(fault);
  board.changeAt = Math.min(board.changeAt, fault.at);
  switch (fault.kind) {
    case 'power cut':
      addSpan(board.off, span);
      break;
    case 'reset':
      addResets(board, fault.at);
      break;
    case 'burst of resets':
      addResets(board, fault.at, fault.count, fault.everyMs);
      break;
    case 'program hangs':
      addSpan(board.hangs, span);
      break;
    case 'clock drift':
      board.crystalFaults.push({ ...span, ppm: fault.ppm });
      break;
    case 'clock jump':
      board.hostClock.push({ ...span, offsetMs: fault.jumpMs });
      break;
    case 'clock loss':
      addSpan(board.silences, span);
      break;
    case 'program damaged':
      board.ailments.push({ ...span, test: SelfTest.Program });
      break;
    case 'memory damaged':
      board.ailments.push({ ...span, test: SelfTest.Memory });
      break;
    case 'converter broken':
      board.ailments.push({ ...span, test: SelfTest.Converter });
      for (const l of target.plant.luminaires) plantLuminaireFault(l, { ...span, kind: 'sensor saturated' });
      break;
    case 'torn write':
      flash.tornWrites.push({ at: fault.at, bytes: fault.bytes });
      flash.tornWrites.sort((a, b) => a.at - b.at);
      break;
    case 'worn flash':
      addSpan(flash.refusals, span);
      break;
    case 'lying write':
      addSpan(flash.lies, span);
      break;
    case 'denied write':
      addSpan(flash.denials, span);
      break;
    case 'unreadable flash':
      addSpan(flash.blackouts, span);
      break;
    default:
      plantIntoClockChip(board.clockChip, fault, span);
  }
}

/** Nothing happens where none is fitted. */
function plantIntoClockChip(chip: ClockChip | undefined, fault: BoardFaultSpec, span: Span): void {
  if (!chip) return;
  if (fault.kind === 'clock chip empty') insert(chip.losses, fault.at);
  else if (fault.kind === 'clock chip jumps') {
    chip.jumps.push({ at: fault.at, jumpMs: fault.jumpMs });
    chip.jumps.sort((a, b) => a.at - b.at);
  } else if (fault.kind === 'clock chip drift') chip.drifts.push({ ...span, ppm: fault.ppm });
  else addSpan(fault.kind === 'clock chip silent' ? chip.silences : chip.rubbish, span);
}

function insert(instants: number[], at: number): void {
  instants.push(at);
  instants.sort((a, b) => a - b);
}

function plantIntoNetwork(target: FaultTarget, fault: NetworkFaultSpec): void {
  target.net.impairments ??= newImpairments(fork(target.fleet.seed, `network ${target.spec.address}`));
  const impairments: Impairments = target.net.impairments;
  const span = spanOf(fault);
  if (fault.kind === 'network partition') addSpan(impairments.partitions, span);
  else if (fault.kind === 'broker off') addSpan(impairments.brokerOff, span);
  else if (fault.kind === 'access point off') addSpan(impairments.accessOff, span);
  else if (fault.kind === 'slow connect') impairments.slowConnects.push({ ...span, delayMs: fault.stopMs });
  else if (fault.kind === 'network loss') impairments.losses.push({ ...span, share: fault.share });
  else if (fault.kind === 'network duplication')
    impairments.duplications.push({ ...span, share: fault.share });
  else if (fault.kind === 'network delay') impairments.delays.push({ ...span, delayMs: fault.delayMs });
  else impairments.reorderings.push({ ...span, delayMs: fault.delayMs });
}
