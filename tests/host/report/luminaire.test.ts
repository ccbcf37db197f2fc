// The report on one luminaire: nothing open about it is left out, and nothing of others is in it.
import { describe, expect, it } from 'vitest';
import { Reason, TestKind } from '../../../firmware/contract/codes';
import type { Block } from '../../../host/report/document';
import { type LuminaireReport, reportOf } from '../../../host/report/ofLuminaire';
import { isClean, type Report, statusWords } from '../../../host/report/report';
import { luminaireDocument } from '../../../host/report/sheetsOfLuminaire';
import { HOUSE } from '../house/site';
import { at, newBook } from './book';
import { FAIL, FROM, goodHouse, heardNow, lookedAfter, PASS, VOID } from './goodHouse';

const TO = '2027-01-14';

function own(report: Report, id: string): LuminaireReport {
  const found = reportOf(report, id);
  if (!found) throw new Error(`There is no ${id}.`);
  return found;
}

async function sheetsOf(report: Report, id: string) {
  const blocks: Block[] = [];
  for await (const block of luminaireDocument(own(report, id)).blocks) blocks.push(block);
  /** All cells and sentences under a heading. */
  const under = (heading: string): string[][] => {
    const from = blocks.findIndex((one) => one.kind === 'heading' && one.text === heading);
    const rest = blocks.slice(from + 1);
    const to = rest.findIndex(({ kind }) => kind === 'heading');
    return rest.slice(0, to === -1 ? undefined : to).flatMap((one) => {
      if (one.kind === 'table') return [...one.rows].map(({ cells }) => cells);
      if (one.kind === 'fields') return one.rows;
      return one.kind === 'text' ? [[one.text]] : [];
    });
  };
  return { all: JSON.stringify(blocks), under };
}

describe('the report on a luminaire', () => {
  it('has every test of it with its currents, and of others nothing', async () => {
    const book = await goodHouse();
    await heardNow(book);
    await lookedAfter(book);
    await book.test('a', TestKind.Full, at('2026-05-05'), [{ ...PASS, litSec: 3600 }, FAIL]);
    await book.note({
      ...{ circuit: 'a', kind: 'repaired', at: at('2026-05-06'), who: 'J Doe' },
      fields: { luminaires: 'A-02', what: 'new cells', retest: TestKind.Full },
    });
    await book.test('a', TestKind.Full, at('2026-05-09'), [
      { ...PASS, litSec: 3600 },
      { ...PASS, litSec: 3600 },
    ]);
    const report = await book.report(FROM, TO);
    const { under, all } = await sheetsOf(report, 'A-02');
    const tests = under('Every test of the period').slice(0, -1);
    // 13 of a good year, of which the first is a duration test, and these two.
    expect(tests).toHaveLength(15);
    const failed = tests.filter(([, , , , , result]) => result !== 'passed');
    expect(failed).toMatchObject(
      [
        [
          /^Tue 5 May 2026/,
          'duration test',
          '33 min of 60 min',
          '300, 300, 290',
          '0',
          'FAILED',
          /./,
          /^\d+$/,
        ],
      ].map((cells) => cells.map((cell) => (cell instanceof RegExp ? expect.stringMatching(cell) : cell))),
    );
    expect(under('Defects')).toMatchObject([
      [
        'A-02',
        'a',
        expect.anything(),
        expect.stringContaining('new cells'),
        expect.stringMatching(/^Passed the duration test of Sat 9 May 2026/),
      ],
    ]);
    expect(all).not.toMatch(/A-01|B-01/);
    expect([isClean(own(report, 'A-02')), statusWords(own(report, 'A-02'))]).toEqual([
      true,
      'Nothing is open. Of the period, 1 defect is listed as closed.',
    ]);
    const other = await sheetsOf(report, 'A-01');
    expect(other.under('Defects')).toEqual([['None: it failed no test in the period.']]);
    expect(other.under('Every test of the period')).toHaveLength(16);
    expect(reportOf(report, 'C-01')).toBeUndefined();
  });

  it('is not clean while its own, its circuit or the building has something open, and only then', async () => {
    const book = await goodHouse();
    await heardNow(book);
    await lookedAfter(book);
    const cleanOf = async () => {
      const report = await book.report(FROM, TO);
      return ['A-01', 'A-02', 'B-01'].map((id) => isClean(own(report, id)));
    };
    expect(await cleanOf()).toEqual([true, true, true]);
    await book.test('a', TestKind.Full, at('2027-01-10'), [{ ...PASS, litSec: 3600 }, FAIL]);
    expect(await cleanOf()).toEqual([true, false, true]);
    await book.test('b', TestKind.Brief, at('2027-01-11'), [VOID]);
    expect(await cleanOf()).toEqual([true, false, false]);
    await book.logbook.memory.remember('heard', '{}');
    const late = await book.report(FROM, TO, { now: at('2027-01-20') });
    expect(own(late, 'A-01').deviations).toMatchObject([{ what: 'circuit silent', circuit: 'a' }]);
    const before = await book.report('2026-01-01', TO);
    for (const id of ['A-01', 'B-01'])
      expect(own(before, id).deviations).toContainEqual(
        expect.objectContaining({
          what: 'log book',
          text: expect.stringMatching(/^The log book begins on /),
        }),
      );
  });

  it('says by when the rule needs the next tests, counted from the newest, after the period too', async () => {
    const book = await newBook();
    await book.test('a', TestKind.Full, at('2026-02-02', 3), [
      { ...PASS, litSec: 3600 },
      { ...PASS, litSec: 3600 },
    ]);
    await book.test('a', TestKind.Brief, at('2026-03-02', 3), [PASS, VOID]);
    const next = async (id: string, now: number) =>
      own(await book.report('2026-02-01', '2026-02-28', { now }), id).next.map(
        ({ kind, last, due, isLate }) => [
          ...[kind, new Date(last * 1000).toISOString().slice(0, 10)],
          ...[Math.round((due - last) / 86_400), isLate],
        ],
      );
    const { brief, full } = (await book.report(FROM, TO)).profile;
    const [month, year] = [brief.latestDays.value, full.latestDays.value];
    expect(await next('A-01', at('2026-03-20'))).toEqual([
      ['brief', '2026-03-02', month, false],
      ['full', '2026-02-02', year, false],
    ]);
    // A void test proves nothing.
    expect(await next('A-02', at('2026-03-20'))).toEqual([
      ['brief', '2026-02-02', month, true],
      ['full', '2026-02-02', year, false],
    ]);
    const { under } = await sheetsOf(
      await book.report('2026-02-01', '2026-02-28', { now: at('2026-03-20') }),
      'A-02',
    );
    expect(under('Tests due next').slice(1)).toEqual([
      ['Function test', expect.stringMatching(/^LATE: was due by .*2026; the last was on .*2026$/)],
      ['Duration test', expect.stringMatching(/^due by .*2027; the last was on .*2026$/)],
    ]);
    const never = await sheetsOf(await book.report('2026-02-01', '2026-02-28'), 'B-01');
    expect(never.under('Every test of the period')).toEqual([
      ['None: this luminaire was not tested in the period.'],
    ]);
    expect(never.under('Tests due next')[1][1]).toMatch(/; none is on record$/);
  });

  it('follows it through a new name and a new circuit', async () => {
    const book = await goodHouse();
    const [a, b] = HOUSE.circuits;
    const moved = { ...a.luminaires[1], id: 'B-02', formerly: ['A-02'] };
    const site = {
      ...HOUSE,
      circuits: [
        { ...a, luminaires: [a.luminaires[0]] },
        { ...b, luminaires: [...b.luminaires, moved] },
      ],
    };
    await book.note({
      ...{ circuit: 'b', kind: 'listed', at: at('2027-01-12'), who: 'host' },
      fields: { revision: 9, luminaires: 'B-01 B-02' },
    });
    await book.test('b', TestKind.Brief, at('2027-01-13'), [PASS, PASS], { settings: 9 });
    const report = await book.report(FROM, TO, { site });
    for (const id of ['B-02', 'A-02']) {
      const { under } = await sheetsOf(report, id);
      expect(under('Every test of the period').slice(0, -1)).toHaveLength(14);
      expect(own(report, id).luminaire.id).toBe('B-02');
    }
  });

  it('has what people looked at there, and what they found there', async () => {
    const book = await goodHouse();
    await heardNow(book);
    const done = at('2026-06-01', 9);
    for (const scope of ['circuit b', 'luminaire A-01', 'area hall'])
      await book.note({
        ...{ circuit: '*', kind: 'inspection', at: done, who: 'J Doe' },
        fields: {
          ...{ id: `entry-${scope.replace(/ /g, '-')}`, duty: 'walk', title: 'Walk', done, scope, words: '' },
          points: [
            { point: 'clean', asked: 'Is it clean?', mark: 'not in order', luminaires: [], words: scope },
          ],
        },
      });
    const report = await book.report(FROM, TO);
    const seen = (id: string) => own(report, id).checks.map(({ scope }) => scope);
    expect([seen('A-01'), seen('A-02'), seen('B-01')]).toEqual([
      ['luminaire A-01', 'area hall'],
      ['area hall'],
      ['circuit b', 'area hall'],
    ]);
    expect(own(report, 'A-02').findings.map(({ words }) => words)).toEqual(['area hall']);
    expect(isClean(own(report, 'A-02'))).toBe(false);
  });

  it('tells a hold or a tester fault of its circuit, and no other', async () => {
    const book = await goodHouse();
    await heardNow(book);
    await lookedAfter(book);
    await book.event('b', 'fault', { reason: Reason.RelayStuckOpen, arg: 0 });
    await book.event('b', 'held', { reason: Reason.OrderedHold, arg: 0 });
    const report = await book.report(FROM, TO);
    const whats = (id: string) => own(report, id).deviations.map(({ what }) => what);
    expect(whats('A-01')).toEqual([]);
    expect(whats('B-01')).toEqual(['tester fault', 'hold']);
  });
});
