// Event queue: a binary heap of (time, node) in typed arrays. Stale entries are skipped by the caller.

export class EventHeap {
  private times: Float64Array;
  private nodes: Int32Array;
  size = 0;

  constructor(capacity = 256) {
    this.times = new Float64Array(capacity);
    this.nodes = new Int32Array(capacity);
  }

  push(time: number, node: number): void {
    if (this.size === this.times.length) this.grow();
    let i = this.size++;
    while (i > 0) {
      const parent = (i - 1) >> 1;
      if (!this.isBefore(time, node, parent)) break;
      this.times[i] = this.times[parent];
      this.nodes[i] = this.nodes[parent];
      i = parent;
    }
    this.times[i] = time;
    this.nodes[i] = node;
  }

  /** Earliest time; infinite when empty. */
  peekTime(): number {
    return this.size > 0 ? this.times[0] : Number.POSITIVE_INFINITY;
  }

  /** Node of the earliest entry, which is removed. The heap must not be empty. */
  pop(): number {
    const node = this.nodes[0];
    this.size--;
    const time = this.times[this.size];
    const last = this.nodes[this.size];
    let i = 0;
    for (;;) {
      let child = 2 * i + 1;
      if (child >= this.size) break;
      if (child + 1 < this.size && this.isBefore(this.times[child + 1], this.nodes[child + 1], child))
        child++;
      if (!this.isBefore(this.times[child], this.nodes[child], -1, time, last)) break;
      this.times[i] = this.times[child];
      this.nodes[i] = this.nodes[child];
      i = child;
    }
    this.times[i] = time;
    this.nodes[i] = last;
    return node;
  }

  /** Order by time, then by node, so that equal times replay the same. */
  private isBefore(
    time: number,
    node: number,
    at: number,
    otherTime = this.times[at],
    other = this.nodes[at],
  ) {
    return time < otherTime || (time === otherTime && node < other);
  }

  private grow(): void {
    const times = new Float64Array(this.times.length * 2);
    const nodes = new Int32Array(this.nodes.length * 2);
    times.set(this.times);
    nodes.set(this.nodes);
    this.times = times;
    this.nodes = nodes;
  }
}
