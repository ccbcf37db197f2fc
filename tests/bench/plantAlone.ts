// What a simulated month costs with everything, and what the circuits alone cost: relay, batteries, lamps
// and sensors at the very same instants, with nobody who decides, writes or sends anything.
import { Rehearsal } from '../../host/cli/rehearsal';
import { seededKeys } from '../../host/keys';
import { openLogbook } from '../../host/logbook/sqlite/open';
import type { Site } from '../../host/site/model';
import type { SimulatedController } from '../../simulator/node';
import {
  type CircuitPlant,
  newCircuitPlant,
  readLampSensors,
  settleCircuit,
} from '../../simulator/plant/circuit';
import { driveRelay } from '../../simulator/plant/relay';

const SEED = 7;
const read = new Int16Array(16);

/** One event of one controller, flat: number of the circuit, instant, drive, its lease, lamps read. */
interface Tape {
  circuit: number[];
  at: number[];
  driven: boolean[];
  until: number[];
  read: boolean[];
}

/** Writes down when each circuit was looked at and what was done to its relay. */
class Recorder {
  readonly tape: Tape = { circuit: [], at: [], driven: [], until: [], read: [] };
  private readonly numbers = new Map<SimulatedController, number>();
  private readonly noise = new Map<SimulatedController, number>();

  after(node: SimulatedController, now: number): void {
    const number = this.numbers.get(node) ?? this.numbers.size;
    this.numbers.set(node, number);
    // Reading a lamp draws noise, so the generator tells whether the lamps were read.
    const noise = node.plant.readings.random.state;
    this.tape.read.push(noise !== this.noise.get(node));
    this.noise.set(node, noise);
    this.tape.circuit.push(number);
    this.tape.at.push(now);
    this.tape.driven.push(node.plant.relay.driven);
    this.tape.until.push(node.plant.relay.drivenUntil);
  }

  /** Circuits as new, in the order in which they appear on the tape. */
  plants(): CircuitPlant[] {
    return [...this.numbers.keys()].map(({ spec }) => newCircuitPlant(spec.circuit, spec.lamps, SEED));
  }
}

function play(tape: Tape, plants: CircuitPlant[]): number {
  let sum = 0;
  for (let i = 0; i < tape.at.length; i++) {
    const plant = plants[tape.circuit[i]];
    const at = tape.at[i];
    settleCircuit(plant, at);
    if (tape.read[i]) {
      readLampSensors(plant, at, true, read, plant.luminaires.length);
      sum += read[0];
    }
    driveRelay(plant.relay, tape.driven[i], tape.until[i], at);
  }
  return sum;
}

function wholeRun(site: Site, days: number, recorder?: Recorder): number {
  const logbook = openLogbook(':memory:');
  const began = performance.now();
  const rehearsal = new Rehearsal({ site, seed: SEED, days, keys: seededKeys(SEED), logbook });
  const { watch } = rehearsal;
  const looks = watch.after.bind(watch);
  if (recorder)
    watch.after = (node, now) => {
      looks(node, now);
      recorder.after(node, now);
    };
  rehearsal.runDays(days);
  const took = performance.now() - began;
  logbook.close();
  return took;
}

export interface PlantCost {
  controllerDays: number;
  events: number;
  wholeMs: number;
  plantMs: number;
}

/** Both costs for `days` days of a site, ms; the better of two runs each. */
export function measurePlantAlone(site: Site, days: number): PlantCost {
  const recorder = new Recorder();
  wholeRun(site, days, recorder);
  const wholeMs = Math.min(wholeRun(site, days), wholeRun(site, days));
  const plantMs = Math.min(
    ...[1, 2].map(() => {
      const plants = recorder.plants();
      const began = performance.now();
      play(recorder.tape, plants);
      return performance.now() - began;
    }),
  );
  return { controllerDays: days * site.circuits.length, events: recorder.tape.at.length, wholeMs, plantMs };
}
