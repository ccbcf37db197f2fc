// Testing by hand: an electrician turns the key of each circuit in working hours, walks round to see which
// lamps are lit, and turns the key back, or forgets to. The plant is the same as under controllers; only the
// tester differs.
import { Reason, TestKind } from '../../firmware/contract/codes';
import { type FaultSpec, plantIntoLuminaire } from '../faults';
import { type CircuitPlant, edgesAfter, newCircuitPlant, settleCircuit } from '../plant/circuit';
import { isLitOnBattery, type LuminaireSpec } from '../plant/luminaire';
import { fork, nextUnit, type Random } from '../random';
import type { CallOut } from './callOut';
import { type Cause, type Chapter, Chronicle, type TestNote } from './chronicle';
import { layOutRounds, type RoundRules, type Turn, type WorkDay } from './rounds';

export interface HandRules extends RoundRules {
  /** Shares, 0 to 1: of tests not made; of dark lamps overlooked; of keys left turned. */
  skipped: number;
  overlooked: number;
  keyForgotten: number;
  /** A key left turned is noticed within this many working days. */
  noticedWithinDays: number;
}

export interface HandCircuit {
  id: string;
  lamps: LuminaireSpec[];
  faults: FaultSpec[];
}

export interface HandSite {
  circuits: HandCircuit[];
  days: WorkDay[];
  rules: HandRules;
  seed: number;
  startUtcMs: number;
  /** When what is reported is repaired. */
  callOut: CallOut;
  /** End of the run, simulated ms. */
  until: number;
}

/** A glance at one luminaire on the walk-round. */
interface Glance {
  place: number;
  at: number;
}

class HandTested {
  private readonly plant: CircuitPlant;
  private readonly chronicle: Chronicle;
  private cause: Cause | undefined;

  constructor(
    private readonly o: HandSite,
    private readonly circuit: HandCircuit,
  ) {
    this.plant = newCircuitPlant(circuit.id, circuit.lamps, o.seed);
    this.chronicle = new Chronicle(this.plant, o.startUtcMs, () => this.cause, o.callOut);
    for (const fault of circuit.faults) if ('luminaire' in fault) plantIntoLuminaire(this.plant, fault);
  }

  run(turns: Turn[]): Chapter {
    for (const turn of turns) this.test(turn);
    this.settle(this.o.until);
    return this.chronicle.chapter(this.o.until);
  }

  /** Brings the circuit up to `now`, with keys turned back and repairs made on the way where they were due. */
  private settle(now: number): void {
    for (let at = edgesAfter(this.plant, this.plant.settledAt); at < now; at = edgesAfter(this.plant, at))
      settleCircuit(this.plant, at);
    settleCircuit(this.plant, now);
  }

  private test(turn: Turn): void {
    const { rules, seed } = this.o;
    const random = fork(seed, `by hand ${this.circuit.id} ${turn.day}`);
    const isSkipped = nextUnit(random) < rules.skipped;
    const isForgotten = nextUnit(random) < rules.keyForgotten;
    const noticed = 1 + Math.floor(nextUnit(random) * rules.noticedWithinDays);
    if (isSkipped) return;
    const key = this.plant.keys[0];
    if (key && key.to >= turn.from) {
      // Still turned from last time: it is turned back, and nothing is tested on flat batteries.
      key.to = turn.from;
      this.settle(turn.from);
      return;
    }
    this.settle(turn.from);
    this.turnKey(turn, isForgotten ? this.morning(turn.day + noticed) : undefined);
    const failed = this.walk(this.glances(turn), random);
    const note: TestNote = { at: turn.from, kind: turn.kind, end: Reason.Complete, failed, voided: [] };
    this.chronicle.tested(note, turn.from + this.lengthMs(turn));
  }

  /** Start of that day's working hours; the end of the run when past it. */
  private morning(day: number): number {
    return this.o.days[day]?.from ?? this.o.until;
  }

  private ratedMs(turn: Turn, place: number): number {
    return turn.kind === TestKind.Full ? this.circuit.lamps[place].ratedSec * 1000 : 0;
  }

  private lengthMs(turn: Turn): number {
    return Math.max(...this.circuit.lamps.map((_, place) => this.ratedMs(turn, place))) + this.o.rules.walkMs;
  }

  private turnKey(turn: Turn, noticedAt: number | undefined): void {
    const meantMs = this.lengthMs(turn);
    this.cause = { kind: turn.kind, meantMs };
    this.plant.keys.push({ from: turn.from, to: noticedAt ?? turn.from + meantMs });
    settleCircuit(this.plant, turn.from);
    this.cause = undefined;
  }

  /** The walk, one luminaire after another; in a duration test each at the end of its own rated duration. */
  private glances(turn: Turn): Glance[] {
    const { lamps } = this.circuit;
    const step = this.o.rules.walkMs / (lamps.length + 1);
    const glances = lamps.map((_, place) => ({
      place,
      at: Math.floor(turn.from + this.ratedMs(turn, place) + (place + 1) * step),
    }));
    return glances.sort((a, b) => a.at - b.at);
  }

  /** @returns numbers of the lamps seen dark */
  private walk(glances: Glance[], random: Random): number[] {
    const failed: number[] = [];
    for (const { place, at } of glances) {
      const isOverlooked = nextUnit(random) < this.o.rules.overlooked;
      if (isLitOnBattery(this.plant.luminaires[place], at) || isOverlooked) continue;
      failed.push(place);
    }
    return failed;
  }
}

/** Tests all circuits by hand. The same site and seed give the same chapters, one per circuit. */
export function testByHand(o: HandSite): Chapter[] {
  const rated = o.circuits.map(({ lamps }) => Math.max(...lamps.map((lamp) => lamp.ratedSec * 1000)));
  const turns = layOutRounds(rated, o.days, o.rules);
  return o.circuits.map((circuit, place) =>
    new HandTested(o, circuit).run(turns.filter((turn) => turn.circuit === place && turn.from < o.until)),
  );
}
