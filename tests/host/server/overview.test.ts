// A building in one line, from a real house beside a log book in memory.
import { expect, it } from 'vitest';
import { Phase, Reason, StateBit, TestKind } from '../../../firmware/contract/codes';
import type { BuildingLine, BuildingWord } from '../../../host/api/buildings';
import { lineOf, unservedLine, worstFirst } from '../../../host/server/overview';
import { HOUSE } from '../house/site';
import { NIGHT, newTestedHouse, PASS } from '../integrators/house';

type Tested = Awaited<ReturnType<typeof newTestedHouse>>;

const LIT = StateBit.SupplyBefore | StateBit.SupplyAfter;
const lineAt = ({ house }: Tested, now: number, alarms: string[] = []): BuildingLine =>
  lineOf({ site: HOUSE, house, alarms, now });

it('tells what is off without a test from what is tested, and both from what nobody has heard', async () => {
  const tested = await newTestedHouse();
  expect(lineAt(tested, NIGHT)).toMatchObject({ word: 'not known', circuits: 2, neverHeard: 2, off: 0 });
  tested.heard('a', NIGHT, { bits: LIT });
  tested.heard('b', NIGHT, { bits: LIT });
  expect(lineAt(tested, NIGHT)).toMatchObject({ word: 'in order', neverHeard: 0, silent: 0 });
  const testing = { phase: Phase.Brief, test: 7, type: TestKind.Brief, since: NIGHT };
  tested.heard('a', NIGHT, { bits: StateBit.SupplyBefore | StateBit.RelayOpen, ...testing });
  expect(lineAt(tested, NIGHT)).toMatchObject({ word: 'testing', testing: 1, off: 0 });
  tested.heard('b', NIGHT, { bits: 0, phase: Phase.Outage });
  expect(lineAt(tested, NIGHT)).toMatchObject({ word: 'supply off', testing: 1, off: 1 });
  tested.clock.up += 3600;
  expect(lineAt(tested, NIGHT + 3600)).toMatchObject({
    ...{ word: 'supply not proven', unproven: 2, silent: 2, off: 0, testing: 0 },
  });
  expect(lineAt(tested, NIGHT + 3600, ['A witness refuses it.'])).toMatchObject({
    ...{ word: 'in doubt', trouble: 'A witness refuses it.' },
  });
});

it('calls silent only what was lit when it was last heard, and no fault healed by silence', async () => {
  const tested = await newTestedHouse();
  for (const id of ['a', 'b']) tested.heard(id, NIGHT, { bits: LIT });
  tested.clock.up += 3600;
  expect(lineAt(tested, NIGHT + 3600)).toMatchObject({ word: 'silent', silent: 2, unproven: 0 });
  tested.heard('b', NIGHT + 3600, { bits: LIT, phase: Phase.Fault });
  tested.clock.up += 3600;
  expect(lineAt(tested, NIGHT + 7200)).toMatchObject({ word: 'fault', silent: 2, faults: 1 });
});

it('names the newest failure, and the next test', async () => {
  const tested = await newTestedHouse();
  const dead = [2, Reason.NotLitAtFiveSeconds, 0, 0, 0, 0, 0];
  await tested.result('a', TestKind.Full, NIGHT, PASS, dead);
  for (const id of ['a', 'b']) tested.heard(id, NIGHT + 60, { bits: LIT });
  tested.house.apply({ kind: 'time', now: NIGHT + 60 });
  const line = lineAt(tested, NIGHT + 60);
  expect(line).toMatchObject({ word: 'defects', defects: 1, newest: { luminaire: 'A-02', circuit: 'a' } });
  expect(line.newest?.cause).not.toBe('');
  expect(line.next?.at).toBeGreaterThan(NIGHT);
});

it('come the worst first, and by name where they are alike', () => {
  const line = (name: string, word: BuildingWord) => ({ ...unservedLine(name, name, ''), word });
  const mixed = [line('d', 'in order'), line('b', 'defects'), line('a', 'defects'), line('c', 'supply off')];
  expect(worstFirst([...mixed, line('e', 'not served')]).map(({ name }) => name)).toEqual([...'ecabd']);
});
