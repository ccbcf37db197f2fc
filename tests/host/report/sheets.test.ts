// The words on the sheets, as blocks before any program sets them.
import { describe, expect, it } from 'vitest';
import { Reason, TestKind } from '../../../firmware/contract/codes';
import type { Block } from '../../../host/report/document';
import { statusWords } from '../../../host/report/report';
import type { Site } from '../../../host/site/model';
import { HOUSE } from '../house/site';
import { at, newBook } from './book';
import { FAIL, FROM, goodHouse, heardNow, lookedAfter, PASS } from './goodHouse';
import { blocksOf, tablesUnder } from './tables';

function declarationOf(blocks: Block[]): string {
  const line = blocks.findIndex(({ kind }) => kind === 'blanks');
  const above = blocks[line - 1];
  return above.kind === 'text' ? above.text : '';
}

describe('the declaration above the signature', () => {
  it('says what makes the report a certificate, and only speaks of what is open if something is', async () => {
    const book = await goodHouse();
    await heardNow(book);
    const claim = /^I am competent for this work, have made or seen the human checks listed here, and /;
    const open = declarationOf(await blocksOf(await book.report(FROM, '2027-01-14')));
    expect(open).toMatch(claim);
    expect(open).toContain('What is open in it is being dealt with.');
    await lookedAfter(book);
    const clean = declarationOf(await blocksOf(await book.report(FROM, '2027-01-14')));
    expect(clean).toMatch(claim);
    expect(clean).toContain('Nothing was open when it was made.');
    expect(clean).not.toContain('dealt with');
  });
});

it('what somebody withdrew is there, says so, and counts for nothing', async () => {
  const book = await goodHouse();
  await heardNow(book);
  const find = { reason: Reason.NotLitAtFiveSeconds, verdict: FAIL.verdict };
  await book.test('a', TestKind.Brief, at('2026-05-01'), [find, PASS]);
  const repair = { luminaires: 'A-01', what: 'battery changed', retest: TestKind.Full };
  await book.note({ circuit: 'a', kind: 'repaired', at: at('2026-05-02'), who: 'J Doe', fields: repair });
  const repairEntry = await book.logbook.entries();
  await book.test('a', TestKind.Brief, at('2026-05-03'), [PASS, PASS]);
  await lookedAfter(book);
  const looked = await book.logbook.entries();
  const withdraw = (circuit: string, withdraws: number) =>
    book.note({
      ...{ circuit, kind: 'withdrawn', at: at('2027-01-15', 2), who: 'R Roe' },
      fields: { withdraws, why: 'Wrong building.' },
    });
  await withdraw('a', repairEntry);
  await withdraw('*', looked);
  const until = { now: at('2027-01-15', 3) };
  const report = await book.report(FROM, '2027-01-14', until);
  const blocks = await blocksOf(report);
  const words = (heading: string, entry: number) =>
    tablesUnder(blocks, heading).find((row) => row.Entry === String(entry))!;
  const told = 'WITHDRAWN. Withdrawn on Fri 15 Jan 2027 by R Roe';
  expect(words('Repairs and other notes', repairEntry)['In words']).toContain(told);
  expect(words('Human checks', looked).What).toContain(`${told} (entry ${looked + 2}): Wrong building.`);
  expect(report.duties.filter(({ state }) => state === 'overdue')).toHaveLength(1);
  // The function test that passed meanwhile was proof enough.
  expect(report.defects).toMatchObject([
    { luminaire: 'A-01', repairs: [], closed: { at: at('2026-05-03') } },
  ]);
  expect(report.found.sources.slice(-2)).toEqual([looked + 1, looked + 2]);
});

describe('what people found', () => {
  it('stands with its place in words, and a check names who made it only once', async () => {
    const book = await goodHouse();
    await lookedAfter(book, { mark: 'not in order', words: 'hidden by a curtain' });
    const blocks = await blocksOf(await book.report(FROM, '2027-01-14'));
    const [found] = tablesUnder(blocks, 'Found by people, and not seen in order since');
    expect(found).toMatchObject({ Where: 'the whole site', 'In words': 'hidden by a curtain' });
    expect(found['Not in order']).not.toBe('');
    const [check] = tablesUnder(blocks, 'Human checks');
    expect(check.By).toBe('J Doe');
    expect(check.What).toMatch(/^Did "/);
  });
});

/** A house with many luminaires in its first circuit. */
function largeHouse(count: number): Site {
  const [a, b] = HOUSE.circuits;
  const luminaires = Array.from({ length: count }, (_, i) => ({ ...a.luminaires[0], id: `L-${i + 1}` }));
  return { ...HOUSE, circuits: [{ ...a, luminaires }, b] };
}

describe('a duty that is still owed for many luminaires', () => {
  it('names sixty of them, and counts the others', async () => {
    const site = largeHouse(90);
    const book = await newBook(site);
    await lookedAfter(book, {}, at('2025-01-14', 9));
    const done = at('2027-01-14', 9);
    const report = await book.report(FROM, '2027-01-14');
    const duty = { ...report.duties[0], left: largeHouse(90).circuits[0].luminaires.map(({ id }) => id) };
    const blocks = await blocksOf({ ...report, duties: [duty], now: done });
    const [row] = tablesUnder(blocks, 'What people must look at');
    expect(row.Now).toContain('Still to see: L-1, L-2,');
    expect(row.Now).toMatch(/L-60 and 30 more\.$/);
  });
});

describe('a luminaire that failed and was taken out of the site file', () => {
  const [a, b] = HOUSE.circuits;
  const without = { ...HOUSE, circuits: [{ ...a, luminaires: a.luminaires.slice(0, 1) }, b] };

  it('keeps its defect in the report on that time, and in no later one', async () => {
    const book = await goodHouse();
    await book.test('a', TestKind.Full, at('2026-05-05'), [{ ...PASS, litSec: 3600 }, FAIL]);
    await book.note({
      ...{ circuit: 'a', kind: 'listed', at: at('2026-06-01'), who: 'host' },
      fields: { revision: 9, luminaires: 'A-01' },
    });
    await book.test('a', TestKind.Brief, at('2026-06-20'), [PASS], { settings: 9 });
    const report = await book.report(FROM, '2026-12-31', { site: without });
    expect(report.defects).toMatchObject([{ luminaire: 'A-02', goneFrom: 'a', closed: null }]);
    expect(statusWords(report)).toContain('no longer has the part: 1.');
    expect(statusWords(report)).toContain(' 0 open defects');
    const [row] = tablesUnder(await blocksOf(report), 'Defects');
    expect(row).toMatchObject({ Luminaire: 'A-02', Circuit: 'a' });
    expect(row['Test after it']).toMatch(/^No longer in the site file\./);
    expect((await book.report('2026-07-01', '2026-12-31', { site: without })).defects).toEqual([]);
  });

  it('is in it also when its whole circuit is gone, until a test has passed', async () => {
    const book = await goodHouse();
    await book.test('b', TestKind.Full, at('2026-05-05'), [FAIL]);
    const site = { ...HOUSE, circuits: [a] };
    const defects = async () => (await book.report(FROM, '2026-12-31', { site })).defects;
    expect(await defects()).toMatchObject([{ luminaire: 'B-01', goneFrom: 'b', closed: null }]);
    await book.test('b', TestKind.Full, at('2026-05-09'), [{ ...PASS, litSec: 3600 }]);
    expect((await defects()).map(({ closed }) => closed?.at)).toEqual([at('2026-05-09')]);
  });
});

describe('a luminaire that failed again after its repair', () => {
  it('has that said where the test after it stands', async () => {
    const book = await goodHouse();
    await book.test('b', TestKind.Full, at('2026-05-05'), [FAIL]);
    const fields = { luminaires: 'B-01', what: 'battery changed', retest: TestKind.Full };
    await book.note({ circuit: 'b', kind: 'repaired', at: at('2026-05-07'), who: 'J Doe', fields });
    await book.test('b', TestKind.Full, at('2026-05-09'), [FAIL]);
    const [row] = tablesUnder(await blocksOf(await book.report(FROM, '2026-12-31')), 'Defects');
    expect(row['Test after it']).toBe(
      'OPEN. Repaired on Thu 7 May 2026 (battery changed); the duration test of Sat 9 May 2026, 03:00 failed again: ' +
        'the repair did not help. It needs a duration test that is passed.',
    );
  });
});

describe('a sheet without defects', () => {
  it('does not say that nothing failed where the schedule shows a failure', async () => {
    const book = await goodHouse();
    const words = async () => {
      const blocks = await blocksOf(await book.report(FROM, '2026-12-31'));
      const from = blocks.findIndex((one) => one.kind === 'heading' && one.text === 'Defects');
      const next = blocks[from + 1];
      return next.kind === 'text' ? next.text : '';
    };
    expect(await words()).toBe('None: no luminaire failed a test in the period.');
    await book.test('b', TestKind.Full, at('2026-05-05'), [FAIL], { settings: 77 });
    expect(await words()).toMatch(/^None is known, though .* in the schedule: 1\./);
  });
});

describe('what ended with a part that the site file no longer has', () => {
  it('gives no date on which it was put right, because nobody put it right', async () => {
    const book = await goodHouse();
    await book.event('b', 'fault', { reason: Reason.RelayStuckOpen, arg: 0 });
    await book.test('a', TestKind.Brief, at('2027-01-10'), [PASS, PASS]);
    const site = { ...HOUSE, circuits: HOUSE.circuits.slice(0, 1) };
    const blocks = await blocksOf(await book.report(FROM, '2027-01-14', { site }));
    const fault = tablesUnder(blocks, 'Deviations').find(({ What }) => What === 'tester fault')!;
    expect(fault.State).toBe('ended with the site file');
  });
});
