// A house beside a log book in memory, told of tests and of states, for tests of what other systems get.
import type { StateMessage } from '../../../firmware/contract/messages';
import { openLogbook } from '../../../host/logbook/engines/open';
import type { Site } from '../../../host/site/model';
import { listFirst, newLoggedHouse } from '../house/bench';
import { HOUSE } from '../house/site';
import { type Journal, newJournal, resultFields } from '../logbook/records';

/** UTC second of the first results: Mon 2 Feb 2026, 03:40 in Berlin. */
export const NIGHT = 1_770_000_000;
export const DAY = 86_400;
export const PASS = [1, 0, 3600, 300, 300, 290, 2];

/** A state as a controller at rest reports it. */
export function restState(more: Partial<StateMessage> = {}): StateMessage {
  return {
    ...{ v: 1, journal: '0a1b2c3d', boot: 1, up: 1, utc: NIGHT, clock: 2, phase: 1, reason: 0, waiting: 0 },
    ...{ bits: 3, test: 0, type: 0, since: 0, charged: 0, last: 0, acked: 0, settings: 1, plan: 0 },
    ...{ overdue: 0, refused: 0, ...more },
  };
}

export async function newTestedHouse(site: Site = HOUSE) {
  const logbook = await openLogbook(':memory:');
  await listFirst(logbook, site);
  const clock = { up: 0 };
  const logged = await newLoggedHouse(logbook, { site, upSec: () => clock.up });
  await logged.follow();
  const journals = new Map<string, Journal>();
  return {
    ...{ ...logged, logbook, clock, site },
    async result(circuit: string, type: number, started: number, ...lamps: number[][]) {
      const address = `${site.id}/${circuit}`;
      const journal = journals.get(address) ?? newJournal(address);
      journals.set(address, journal);
      await logbook.appendBatch([{ ...journal.record('result', resultFields(lamps, { type, started })) }]);
      await logged.follow();
    },
    heard(circuit: string, at: number, more: Partial<StateMessage> = {}) {
      logged.house.apply({
        ...{ kind: 'state', circuit, state: restState({ utc: at, ...more }) },
        ...{ heardAt: at, heardUp: clock.up },
      });
    },
  };
}
