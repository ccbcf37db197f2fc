// Entries that somebody withdraws: they stay in the log book, and what they did ends.
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Reason, TestKind } from '../../../../firmware/contract/codes';
import { dueDuties } from '../../../../host/duties/due';
import { dutiesOf } from '../../../../host/duties/duties';
import { stateOf } from '../../../../host/house/defects/defect';
import type { Mark } from '../../../../host/house/notes/inspected';
import { writeNote } from '../../../../host/house/notes/notes';
import { readPast } from '../../../../host/house/past';
import { openLogbook } from '../../../../host/logbook/engines/open';
import type { Logbook } from '../../../../host/logbook/logbook';
import { KEYS, newJournal, resultFields } from '../../logbook/records';
import { listFirst, newLoggedHouse } from '../bench';
import { HOUSE } from '../site';

const NOW = 1_770_000_000;
const DAY = 86_400;
const PASS = [1, 0, 3600, 300, 300, 290, 2];
const FAIL = [2, Reason.NotLitAtFiveSeconds, 0, 0, 0, 0, 2];
const [Brief, Full] = [TestKind.Brief, TestKind.Full];

let logbook: Logbook;
let journal: ReturnType<typeof newJournal>;
let host: Awaited<ReturnType<typeof newLoggedHouse>>;
beforeEach(async () => {
  logbook = await openLogbook(':memory:');
  journal = newJournal('demo/a');
  await listFirst(logbook, HOUSE);
  host = await newLoggedHouse(logbook);
});
afterEach(async () => await logbook.close());

async function tested(type: TestKind, day: number, ...lamps: number[][]): Promise<void> {
  const fields = resultFields(lamps, { type, started: NOW + day * DAY });
  await logbook.appendBatch([journal.record('result', fields)]);
  await host.follow();
}

/** @returns the number of its entry */
async function repaired(day: number, part: 'battery' | 'other', luminaire = 'A-01'): Promise<number> {
  await host.follow();
  await host.entering.repaired('a', { luminaire, part, who: 'Anna', at: NOW + day * DAY });
  return logbook.entries();
}

let made = 0;
/** @returns the number of its entry */
async function walked(day: number, clean: Mark = 'in order', scope = 'site'): Promise<number> {
  made++;
  const { points } = dutiesOf(HOUSE).find(({ id }) => id === 'walk')!;
  const answers = points.map(({ id }) => {
    const mark = id === 'clean' ? clean : ('in order' as const);
    const isFound = mark === 'not in order';
    return { point: id, mark, luminaires: isFound ? ['A-01'] : [], words: isFound ? 'dusty' : '' };
  });
  const wish = { id: `walk-number-${made}`, duty: 'walk', who: 'Anna', scope, points: answers, words: '' };
  await host.follow();
  const done = NOW + day * DAY;
  expect(await host.entering.inspected({ ...wish, done }, done)).toMatchObject({ ok: true });
  return logbook.entries();
}

const withdraw = (entry: number, day = 30, who = 'Bert', why = 'Wrong luminaire.') =>
  host.entering.withdraw({ entry, who, why }, NOW + day * DAY);
const past = () => readPast(logbook, HOUSE, KEYS);

/** State and proof needed of every defect, as the running host and one that starts now have it. */
async function defects(): Promise<string[]> {
  const { defects: known } = await past();
  expect(host.house.past.defects.state()).toEqual(known.state());
  return [...known.open(), ...known.closed()].map((one) => `${one.luminaire} ${stateOf(one)} ${one.needs}`);
}

describe('a repair that is withdrawn', () => {
  it('owes no test, and its defect is open again, with the proof that its failure asks for', async () => {
    await tested(Brief, 0, FAIL, PASS);
    const repair = await repaired(1, 'battery');
    expect(await defects()).toEqual(['A-01 repaired full']);
    expect(host.house.past.owed(HOUSE.circuits[0])).toHaveLength(1);
    expect(await withdraw(repair)).toEqual({
      ok: true,
      answer: `Recorded: Bert withdrew entry ${repair}: Wrong luminaire.`,
    });
    expect(await defects()).toEqual(['A-01 open brief']);
    for (const one of [host.house.past, await past()]) {
      expect(one.owed(HOUSE.circuits[0])).toEqual([]);
      expect(one.unproven(HOUSE.circuits[0], 'A-01')).toBe('');
    }
  });

  it('leaves the one before it in force', async () => {
    await tested(Brief, 0, FAIL, FAIL);
    await repaired(1, 'battery');
    const second = await repaired(2, 'battery');
    await withdraw(second);
    expect(await defects()).toEqual(['A-01 repaired full', 'A-02 open brief']);
    expect(host.house.past.owed(HOUSE.circuits[0])).toMatchObject([{ from: NOW + DAY }]);
    expect(host.house.past.unproven(HOUSE.circuits[0], 'A-01')).toContain(
      'Anna repaired A-01 (battery changed)',
    );
  });

  it('does not undo a retest that has passed, and no longer hides one that was proof enough', async () => {
    await tested(Brief, 0, FAIL, FAIL);
    const first = await repaired(1, 'battery');
    const other = await repaired(1, 'battery', 'A-02');
    await tested(Brief, 2, PASS, PASS);
    expect(await defects()).toEqual(['A-01 repaired full', 'A-02 repaired full']);
    // A function test was failed, and one has passed: only the battery that nobody changed asked for more.
    await withdraw(other);
    expect(await defects()).toEqual(['A-01 repaired full', 'A-02 closed brief']);
    await tested(Full, 3, PASS, PASS);
    await withdraw(first);
    expect(await defects()).toEqual(['A-01 closed brief', 'A-02 closed brief']);
  });
});

describe('a look that is withdrawn', () => {
  const due = (known = host.house.past) => {
    const [walk] = dueDuties(
      dutiesOf(HOUSE).filter(({ id }) => id === 'walk'),
      HOUSE,
      known.inspections,
      NOW + 20 * DAY,
    );
    return [walk.due, known.inspections.findings().length];
  };

  it('was not done, and what it found is not found', async () => {
    await host.follow();
    const never = due();
    const first = await walked(1);
    const seen = due();
    const second = await walked(9, 'not in order');
    expect([due()[0], due()[1]]).not.toEqual(seen);
    await withdraw(second);
    expect(due()).toEqual(seen);
    expect(due(await past())).toEqual(seen);
    await withdraw(first);
    expect(due()).toEqual(never);
  });

  it('does not end what was found before', async () => {
    await walked(1, 'not in order');
    const wrong = await walked(2);
    expect(due()[1]).toBe(0);
    await withdraw(wrong);
    expect([due()[1], due(await past())[1]]).toEqual([1, 1]);
  });
});

it('stays in the log book, which says who withdrew it and why', async () => {
  const entry = await repaired(1, 'other');
  const view = async (number: number) => host.house.view.entry((await logbook.after(number - 1, 1))[0]);
  expect(await view(entry)).toMatchObject({ kind: 'repaired', withdrawn: '' });
  await withdraw(entry);
  expect(await view(entry)).toMatchObject({
    text: expect.stringMatching(/^Anna repaired A-01; a function test is due by/),
    withdrawn: `Withdrawn on Wed 4 Mar 2026 by Bert (entry ${entry + 1}): Wrong luminaire.`,
  });
  const own = await view(entry + 1);
  expect(own).toMatchObject({
    kind: 'withdrawn',
    circuit: 'a',
    text: `Bert withdrew entry ${entry}: Wrong luminaire.`,
  });
  expect(own).not.toHaveProperty('withdrawn');
  expect(await logbook.verify(KEYS)).toMatchObject({ valid: true });
});

describe('nothing is withdrawn', () => {
  it('that is there no more, that nobody entered, or without a name and a reason', async () => {
    await tested(Brief, 0, PASS, PASS);
    const result = await logbook.entries();
    const repair = await repaired(1, 'other');
    const answers = [
      await withdraw(99),
      await withdraw(result),
      await withdraw(1),
      await withdraw(repair, 30, ' '),
      await withdraw(repair, 30, 'Bert', ' '),
      await withdraw(repair, 30, 'Bert', 'a\u202eb'),
    ];
    expect(answers.map(({ answer }) => answer)).toEqual([
      'The log book has no entry 99.',
      `Entry ${result} is no repair and no inspection of this site: nothing else can be withdrawn.`,
      'Entry 1 is no repair and no inspection of this site: nothing else can be withdrawn.',
      expect.stringMatching(/^Give your name, .+: the log book records who withdrew it\.$/),
      'Say why it is withdrawn.',
      'The reason must not contain control or invisible characters.',
    ]);
    expect(answers.every(({ ok }) => !ok)).toBe(true);
    expect(await logbook.entries()).toBe(repair);
  });

  it('twice by two who do it at once', async () => {
    const repair = await repaired(1, 'other');
    const answers = await Promise.all([withdraw(repair), withdraw(repair, 30, 'Carla')]);
    expect(answers.map(({ ok }) => ok).sort()).toEqual([false, true]);
    expect(answers.find(({ ok }) => !ok)!.answer).toBe(
      `Nothing was withdrawn. Entry ${repair} was withdrawn before.`,
    );
    expect(await logbook.entries()).toBe(repair + 1);
    expect(await logbook.verify(KEYS)).toMatchObject({ valid: true });
  });

  it('twice, nor by a note that this host did not sign', async () => {
    const repair = await repaired(1, 'other');
    await withdraw(repair);
    expect((await withdraw(repair)).answer).toBe(
      `Entry ${repair} was withdrawn before, by Bert on Wed 4 Mar 2026.`,
    );
    const second = await repaired(2, 'other');
    const elsewhere = await openLogbook(':memory:');
    const note = { address: 'demo/b', kind: 'withdrawn', at: NOW, who: 'Eve' } as const;
    const other = await writeNote(elsewhere, KEYS, { ...note, fields: { withdraws: second, why: 'x' } });
    await elsewhere.close();
    const read = await past();
    read.take({ ...other, address: 'demo/a/host', entry: second + 1 });
    expect([read.entry(), read.withdrawals.of(second)]).toEqual([second + 1, undefined]);
    expect(read.owed(HOUSE.circuits[0])).toHaveLength(1);
  });
});
