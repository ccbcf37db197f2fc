// Processor time of what this process has started, by program: what a busy machine does not distort.
import { readdirSync, readFileSync } from 'node:fs';

/** Ticks of proc(5) in a second. */
const TICKS = 100;
const PARTS = { 'beam.smp': 'RabbitMQ', postgres: 'PostgreSQL', node: 'consumer' };
export type Part = (typeof PARTS)[keyof typeof PARTS] | 'publisher';
export type Times = { [part in Part]: number };

interface Process {
  name: string;
  parent: number;
  ms: number;
}

function processes(): Map<number, Process> {
  const found = new Map<number, Process>();
  for (const pid of readdirSync('/proc').filter((name) => /^\d+$/.test(name))) {
    try {
      const [, name, rest] = /\((.*)\) (.*)/s.exec(readFileSync(`/proc/${pid}/stat`, 'latin1'))!;
      const fields = rest.split(' ').map(Number);
      // With that of its children that have ended.
      const ms = ((fields[11] + fields[12] + fields[13] + fields[14]) * 1000) / TICKS;
      found.set(Number(pid), { name, parent: fields[1], ms });
    } catch {
      // It has ended meanwhile.
    }
  }
  return found;
}

/** ms so far of this process and all below it. */
export function timesSoFar(): Times {
  const all = processes();
  const isBelow = (pid: number): boolean =>
    pid === process.pid || (all.has(pid) && isBelow(all.get(pid)!.parent));
  const { user, system } = process.cpuUsage();
  const times: Times = { RabbitMQ: 0, PostgreSQL: 0, consumer: 0, publisher: (user + system) / 1000 };
  for (const [pid, { name, ms }] of all) {
    const part = PARTS[name as keyof typeof PARTS];
    if (part && pid !== process.pid && isBelow(pid)) times[part as Part] += ms;
  }
  return times;
}

/** What was used since `before`. */
export function timesSince(before: Times): Times {
  const now = timesSoFar();
  const parts = Object.keys(now) as Part[];
  return Object.fromEntries(parts.map((part) => [part, now[part] - before[part]])) as Times;
}
