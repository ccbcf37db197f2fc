// Tests that ended without a verdict, and what makes up for them, in whatever order the records arrive.
import { describe, expect, it } from 'vitest';
import { Reason, TestKind } from '../../../firmware/contract/codes';
import { isOpen } from '../../../host/report/findings';
import { at } from './book';
import { FAIL, FROM, goodHouse, ofTests, PASS, VOID } from './goodHouse';

describe('a void test', () => {
  it('stays open until one of its kind proves something, and counts on while it is void again', async () => {
    const book = await goodHouse();
    await book.test('b', TestKind.Full, at('2026-05-05'), [VOID], { end: Reason.Outage });
    await book.test('b', TestKind.Full, at('2026-05-06'), [VOID], { end: Reason.Outage });
    await book.test('b', TestKind.Brief, at('2026-05-07'), [PASS]);
    const open = ofTests((await book.report(FROM, '2026-12-31')).deviations);
    expect(open.map(isOpen)).toEqual([true]);
    expect(open[0]).toMatchObject({ what: 'test void', luminaires: ['B-01'], at: at('2026-05-05') });
    expect(open[0].text).toMatch(/^The duration test ended without a verdict\. .+ Void again since: 1\.$/);
    await book.test('b', TestKind.Full, at('2026-05-08'), [FAIL]);
    const closed = ofTests((await book.report(FROM, '2026-12-31')).deviations);
    expect(closed.map(({ closedAt }) => closedAt)).toEqual([at('2026-05-08')]);
  });
});

describe('a result that arrives after newer ones', () => {
  it('makes up for no void test made after it, and is not the newest', async () => {
    const book = await goodHouse();
    await book.test('b', TestKind.Full, at('2026-05-05'), [VOID], { end: Reason.Outage });
    await book.test('b', TestKind.Full, at('2026-05-01'), [FAIL]);
    const before = await book.report(FROM, '2026-12-31');
    expect(ofTests(before.deviations).map(isOpen)).toEqual([true]);
    await book.test('b', TestKind.Full, at('2026-05-09'), [PASS]);
    await book.test('b', TestKind.Full, at('2026-05-02'), [FAIL]);
    const after = await book.report(FROM, '2026-12-31');
    expect(ofTests(after.deviations).map(({ closedAt }) => closedAt)).toEqual([at('2026-05-09')]);
    expect(after.lamps[2].newest.long).toMatchObject({ at: at('2026-05-09'), isPass: true });
  });

  it('is made up for already if it is void', async () => {
    const book = await goodHouse();
    await book.test('b', TestKind.Full, at('2026-05-09'), [PASS]);
    await book.test('b', TestKind.Full, at('2026-05-05'), [VOID], { end: Reason.Outage });
    const { deviations } = await book.report(FROM, '2026-12-31');
    expect(ofTests(deviations).map(({ closedAt }) => closedAt)).toEqual([at('2026-05-09')]);
  });
});

describe('a void test of several luminaires', () => {
  it('is made up for once each of them has been tested', async () => {
    const book = await goodHouse();
    await book.test('a', TestKind.Full, at('2026-05-05'), [VOID, VOID], { end: Reason.Outage });
    await book.test('a', TestKind.Full, at('2026-05-08'), [PASS, VOID]);
    const states = async () =>
      ofTests((await book.report(FROM, '2026-12-31')).deviations).map(
        (one) => `${one.luminaires} ${isOpen(one)}`,
      );
    expect((await states()).sort()).toEqual(['A-01,A-02 true', 'A-02 true']);
    await book.test('a', TestKind.Full, at('2026-05-20'), [VOID, PASS]);
    expect((await states()).sort()).toEqual(['A-01 true', 'A-01,A-02 false', 'A-02 false']);
  });
});
