// Many simulated controllers on one clock and one event queue. Deterministic from one seed.
import { readTopic } from '../firmware/contract/topics';
import { EventHeap } from './heap';
import { SimulatedWire } from './network';
import { SimulatedController, type SimulationClock } from './node';
import { hostClockErrorMs } from './plant/board';
import type { FleetSpec } from './spec';
import type { Trace } from './trace';
import type { PublishSink } from './wire';

/** Watches the fleet from outside: called after every event of a controller. */
export interface Observer {
  after(node: SimulatedController, now: number): void;
}

export class Fleet implements SimulationClock {
  now = 0;
  readonly nodes: SimulatedController[];
  private readonly byAddress = new Map<string, SimulatedController>();
  private readonly heap = new EventHeap();
  private readonly due: number[];
  private readonly indexOf = new Map<SimulatedController, number>();
  events = 0;
  private isPaused = false;

  constructor(
    readonly spec: FleetSpec,
    sink: PublishSink,
    private readonly observers: Observer[],
    /** Records the inputs and outputs of the first controller. */
    trace?: Trace,
  ) {
    this.nodes = spec.controllers.map(
      (c) => new SimulatedController(c, spec, this, new SimulatedWire(this, sink)),
    );
    if (this.nodes[0]) this.nodes[0].trace = trace;
    this.due = this.nodes.map(() => -1);
    this.nodes.forEach((node, i) => {
      this.indexOf.set(node, i);
      this.byAddress.set(node.spec.address, node);
      node.boot();
      this.push(node);
    });
  }

  /** UTC ms of the simulated moment. */
  utcMs(): number {
    return this.spec.startUtcMs + this.now;
  }

  /** A message from the host over the simulated wire. */
  publish(topic: string, payload: string): void {
    const parts = readTopic(topic);
    const node = parts && this.byAddress.get(parts.address);
    if (!node || !(node.net instanceof SimulatedWire)) return;
    if (parts.kind === 'time' && hostClockErrorMs(node.boardPlant, this.now) === undefined) return;
    node.net.publish(topic, payload);
    this.schedule(node);
  }

  /** Looks again when this controller is due; needed after anything outside has touched it. */
  schedule(node: SimulatedController): void {
    node.touch();
    this.push(node);
  }

  private push(node: SimulatedController): void {
    const i = this.indexOf.get(node) as number;
    const at = node.nextAt();
    if (at === this.due[i]) return;
    this.due[i] = at;
    if (at < Number.POSITIVE_INFINITY) this.heap.push(at, i);
  }

  /** Makes `run` stop behind the event it is at, for a host that needs real time to answer. */
  pause(): void {
    this.isPaused = true;
  }

  /**
   * Runs every event up to and including `until`, simulated ms.
   * @returns false when it was paused before: call it again with the same `until`
   */
  run(until: number): boolean {
    this.isPaused = false;
    while (this.heap.peekTime() <= until) {
      const at = this.heap.peekTime();
      const i = this.heap.pop();
      if (this.due[i] === at) this.runNode(i, at, until);
      if (this.isPaused) return false;
    }
    if (until > this.now) this.now = until;
    return true;
  }

  private runNode(i: number, at: number, until: number): void {
    this.now = at;
    const node = this.nodes[i];
    this.due[i] = -1;
    node.run();
    this.look(node, at);
    // Up to the next event of any other controller, which may come first at the same instant.
    // Unless the host is still to answer: its answer is the next event.
    if (node.plant.relay.driven && !this.isPaused)
      node.runDischarge(Math.min(until, this.heap.peekTime() - 1), this.look, false);
    this.push(node);
  }

  /** An event of a controller is over. */
  private readonly look = (node: SimulatedController, now: number): void => {
    this.events++;
    for (const observer of this.observers) observer.after(node, now);
  };
}
