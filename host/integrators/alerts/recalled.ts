// What the alerts keep in the host's memory, as it was meant: what an older host stored, or nobody can read, is nothing.
import type { z } from 'zod';
import type { Memory } from '../../logbook/memory';

/** What is stored under a name; undefined if it is not what the schema says. */
export function recalled<T>(memory: Memory, name: string, schema: z.ZodType<T>): T | undefined {
  try {
    return schema.parse(JSON.parse(memory.recall(name)));
  } catch {
    return undefined;
  }
}
