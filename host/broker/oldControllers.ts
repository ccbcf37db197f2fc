// Controllers that were at work before the broker had passwords, and log in without one.
import type { Logbook } from '../logbook/logbook';
import type { Memory } from '../logbook/memory';
import type { Site } from '../site/model';

const OLD = 'brokerOldControllers';
/** Stands for an empty list, which is not the same as none made yet. */
const NOBODY = '-';

export interface OldOptions {
  site: Site;
  logbook: Pick<Logbook, 'total'>;
  memory: Memory;
}

/**
 * Ids of the controllers that had written records when a host with passwords first opened this log book. They must go
 * on logging in as before: whoever locks them out with an update hears nothing of their tests.
 */
export async function oldControllers({ site, logbook, memory }: OldOptions): Promise<string[]> {
  const known = memory.recall(OLD);
  if (known) return known === NOBODY ? [] : known.split(' ');
  const old: string[] = [];
  for (const { id } of site.circuits)
    if ((await logbook.total({ address: [`${site.id}/${id}`], kind: 'start' })) > 0) old.push(id);
  memory.remember(OLD, old.join(' ') || NOBODY);
  return old;
}
