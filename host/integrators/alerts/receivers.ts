// Who is told of alarms: a queue for each mail address and each webhook, so that one that fails holds up no other. What
// waits for a receiver that is no longer named goes to those that are: whoever mends a wrong address loses no alarm.
import { z } from 'zod';
import { sha256Hex } from '../../keys';
import { counted } from '../../words/counted';
import { type Batch, newQueue, type Queue, type QueueOptions, takeWaiting } from './queue';
import { recalled } from './recalled';

export interface Receiver {
  /** Its whole address. It is never stored or said, since it may hold a key. */
  address: string;
  /** Names it in sentences. */
  name: string;
  send(batch: Batch): Promise<void>;
}

/** Names of the receivers at the last start, by the key of their queue. */
const RECEIVERS = 'alerts receivers';
const named = z.record(z.string(), z.string());

/** Names a receiver in memory: two that differ at all differ in it. */
export function receiverKey(address: string): string {
  return sha256Hex(address).slice(0, 32);
}

type Shared = Omit<QueueOptions, 'key' | 'name' | 'send'>;

/** Passes on what waits for receivers that are no longer named. */
function passOn(queues: ReadonlyMap<string, Queue>, { memory, onProblem }: Shared): void {
  const before = recalled(memory, RECEIVERS, named) ?? {};
  const fresh = [...queues].filter(([key]) => !(key in before)).map(([, queue]) => queue);
  const heirs = fresh.length > 0 ? fresh : [...queues.values()];
  for (const [key, name] of Object.entries(before)) {
    if (queues.has(key)) continue;
    const left = takeWaiting(memory, key, (events, lost) => {
      for (const heir of heirs) heir.adopt(events, lost);
    });
    if (left > 0)
      onProblem(
        `${counted(left, 'alert')} that waited for ${name}, which is no longer told, now ` +
          `${left === 1 ? 'goes' : 'go'} to ${heirs.map((heir) => heir.name).join(', ')}.`,
      );
  }
}

/**
 * The queues of the receivers in force, which nobody else may have at the same time.
 * @param shared what all queues have in common
 */
export function openQueues(receivers: Receiver[], shared: Shared): Queue[] {
  const byKey = new Map(
    receivers.map(({ address, name, send }) => {
      const key = receiverKey(address);
      return [key, newQueue({ ...shared, key, name, send })];
    }),
  );
  passOn(byKey, shared);
  const names = [...byKey].map(([key, queue]) => [key, queue.name]);
  shared.memory.remember(RECEIVERS, JSON.stringify(Object.fromEntries(names)));
  return [...byKey.values()];
}
