// What was done to a circuit and when, recorded from a simulated controller and played back to the circuit
// alone: relay, batteries, lamps and sensors, with nothing that decides, writes or sends.
import type { SimulatedController } from '../../simulator/node';
import { type CircuitPlant, newCircuitPlant, readLampSensors } from '../../simulator/plant/circuit';
import { sensorMilliamps } from '../../simulator/plant/luminaire';
import { nextGauss } from '../../simulator/random';
import { Senses } from '../../simulator/senses';

const SEED = 7;
const read = new Int16Array(16);

/** Records when each circuit was checked and what was done to its relay. */
export class Tape {
  private readonly circuit: number[] = [];
  private readonly at: number[] = [];
  private readonly driven: boolean[] = [];
  private readonly until: number[] = [];
  private readonly read: boolean[] = [];
  private readonly numbers = new Map<SimulatedController, number>();
  private readonly noise = new Map<SimulatedController, number>();

  /** Called after each event of a controller. */
  after(node: SimulatedController, now: number): void {
    const number = this.numbers.get(node) ?? this.numbers.size;
    this.numbers.set(node, number);
    // Reading a lamp draws noise, so the generator's state shows whether the lamps were read.
    const noise = node.plant.readings.random.state;
    this.read.push(noise !== this.noise.get(node));
    this.noise.set(node, noise);
    this.circuit.push(number);
    this.at.push(now);
    this.driven.push(node.plant.relay.driven);
    this.until.push(node.plant.relay.drivenUntil);
  }

  get events(): number {
    return this.at.length;
  }

  /** New circuits, in the order in which they appear on the tape. */
  private plants(): CircuitPlant[] {
    return [...this.numbers.keys()].map(({ spec }) => newCircuitPlant(spec.circuit, spec.lamps, SEED));
  }

  /**
   * Plays it to new circuits, whose lamps are read together in closed form, or one by one.
   * @returns processor time, ms
   */
  play(oneByOne = false): number {
    const plants = this.plants();
    const senses = plants.map((plant) => new Senses(plant));
    const before = process.cpuUsage();
    for (let i = 0; i < this.at.length; i++) {
      const plant = plants[this.circuit[i]];
      const sense = senses[this.circuit[i]];
      const at = this.at[i];
      sense.settle(at);
      if (this.read[i]) this.readLamps(plant, at, oneByOne);
      sense.drive(this.driven[i], this.until[i], at);
      sense.settle(at);
    }
    return cpuMsSince(before);
  }

  private readLamps(plant: CircuitPlant, at: number, oneByOne: boolean): void {
    const count = plant.luminaires.length;
    if (oneByOne)
      for (let i = 0; i < count; i++)
        read[i] = sensorMilliamps(plant.luminaires[i], at, 2 * nextGauss(plant.readings.random));
    else readLampSensors(plant, at, true, read, count);
  }
}

export function cpuMsSince(before: NodeJS.CpuUsage): number {
  const { user, system } = process.cpuUsage(before);
  return (user + system) / 1000;
}
