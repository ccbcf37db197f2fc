// Whether a log book is about simulated controllers, noted in the file itself: its copies say so too.
import type { Logbook } from './logbook';

const NAME = 'simulated';

/** What stands before all that is told of such a log book. */
export const SIMULATED = 'Simulated controllers: nothing here is about a real building.';

/** To be called before its first entry. */
export function noteSimulated({ memory }: Pick<Logbook, 'memory'>): Promise<void> {
  return memory.remember(NAME, 'yes');
}

export async function isSimulated({ memory }: Pick<Logbook, 'memory'>): Promise<boolean> {
  return (await memory.all()).has(NAME);
}

/** The first line of what is told of a log book, with an empty one behind it; '' for one of a building. */
export async function simulatedLine(logbook: Pick<Logbook, 'memory'>): Promise<string> {
  return (await isSimulated(logbook)) ? `${SIMULATED}\n\n` : '';
}
