import { expect, it, vi } from 'vitest';
import { noteLists } from '../../../../host/house/notes/listing';
import { openLogbook } from '../../../../host/logbook/engines/open';
import type { Entry } from '../../../../host/logbook/logbook';
import type { Site } from '../../../../host/site/model';
import { KEYS } from '../../logbook/records';
import { HOUSE } from '../site';

const COUNT = 1200;
const [circuit] = HOUSE.circuits;
const LARGE: Site = {
  ...HOUSE,
  circuits: Array.from({ length: COUNT }, (_, i) => ({ ...circuit, id: `c${i}` })),
};

it('notes the lists of a large site in a few transactions, each once', async () => {
  const logbook = await openLogbook(':memory:');
  const appendNextAll = vi.spyOn(logbook, 'appendNextAll');
  const taken: Entry[] = [];
  const listed = new Set<string>();
  const options = {
    ...{ site: LARGE, logbook, keys: KEYS, now: () => 1_770_000_000 },
    // One of them has no settings yet.
    revisionOf: (id: string) => (id === 'c7' ? undefined : 3),
    listed: (id: string) => (listed.has(id) ? ['A-1'] : undefined),
    take(entry: Entry) {
      taken.push(entry);
      listed.add(entry.address.split('/')[1]);
    },
  };
  await noteLists(options);
  expect(taken).toHaveLength(COUNT - 1);
  expect(taken.map(({ entry }) => entry)).toEqual(taken.map((_, i) => i + 1));
  expect(listed.size).toBe(COUNT - 1);
  expect(appendNextAll).toHaveBeenCalledTimes(3);
  expect(await logbook.verify(KEYS)).toMatchObject({ valid: true, entries: COUNT - 1 });
  await noteLists(options);
  expect(await logbook.entries()).toBe(COUNT - 1);
  await logbook.close();
});
