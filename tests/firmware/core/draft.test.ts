import { describe, expect, it } from 'vitest';
import { TestKind } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import { SLOT_SEC_MAX } from '../../../firmware/contract/plan';
import { draftPlan, fillSlots, type PlanDraft, type PlanText, readSlots } from '../../../firmware/core/draft';
import { keptSlots } from '../../support/slots';

const LAST_SECOND = 4_294_967_295;
const ROW = '1,1,1000,60;';

function draft(m: Partial<PlanText>): PlanDraft {
  const d = draftPlan({ v: 1, revision: 1, until: 5000, slots: ROW, ...m });
  if (!d) throw new Error('The numbers of this plan are out of bounds.');
  return d;
}

/** The slots of a plan as stored; undefined when it is refused. */
const kept = (slots: string) => keptSlots({ v: 1, revision: 1, until: 5000, slots });

describe('an incoming plan', () => {
  it('has a revision and an end from 1 to the last second that 32 bits hold', () => {
    for (const good of [1, LAST_SECOND]) {
      expect(draft({ revision: good }).revision).toBe(good);
      expect(draft({ until: good }).until).toBe(good);
    }
    for (const bad of [0, -1, 1.5, LAST_SECOND + 1, Number.NaN, '5' as unknown as number]) {
      expect(draftPlan({ v: 1, revision: bad, until: 5000, slots: ROW })).toBeUndefined();
      expect(draftPlan({ v: 1, revision: 1, until: bad, slots: ROW })).toBeUndefined();
      expect(draftPlan({ v: 1, revision: bad, until: bad, slots: ROW })).toBeUndefined();
    }
  });

  it.each([[5], [[ROW]], [{ length: 12 }], [true]])(
    'is refused with slots of %j, which are not text',
    (slots) => {
      expect(
        draftPlan({ v: 1, revision: 1, until: 5000, slots: slots as unknown as string }),
      ).toBeUndefined();
    },
  );

  it('takes up the whole of its text unless limits are given', () => {
    const d = draft({ slots: ROW + ROW });
    expect([d.at, d.end, d.count, d.text]).toEqual([0, 24, 0, ROW + ROW]);
  });

  it('is read only from its own part of a longer text', () => {
    const text = `{"slots":"${ROW}2,2,500,61;3,1,1,1;"}`;
    const from = text.indexOf(ROW);
    const d = draft({ slots: text, from, end: from + ROW.length + '2,2,500,61;'.length });
    expect(readSlots(d, 72)).toBe(true);
    expect(d.count).toBe(2);
    expect(d.at).toBe(d.end);
    const slots = new Uint32Array(6);
    fillSlots(d, slots);
    expect(readSlots(d, 72)).toBe(true);
    expect([...slots]).toEqual([1 * 8 + 1, 1000, 1060, 2 * 8 + 2, 1500, 1561]);
    expect(d.at).toBe(d.end);
  });

  it('whose part ends inside a row is malformed', () => {
    const d = draft({ slots: ROW + ROW, end: ROW.length * 2 - 1 });
    expect(readSlots(d, 1)).toBe(true);
    expect(readSlots(d, 1)).toBe(false);
  });

  it('is read as many rows at a time as asked for, and no more than there are', () => {
    const d = draft({ slots: ROW.repeat(5) });
    expect([readSlots(d, 0), d.count, d.at]).toEqual([true, 0, 0]);
    expect([readSlots(d, 1), d.count, d.at]).toEqual([true, 1, 12]);
    expect([readSlots(d, 3), d.count, d.at]).toEqual([true, 4, 48]);
    expect([readSlots(d, 3), d.count, d.at]).toEqual([true, 5, 60]);
    expect([readSlots(d, 3), d.count, d.at]).toEqual([true, 5, 60]);
    expect(kept('')).toEqual([]);
  });

  it('holds as many slots as the controller stores, and not one more', () => {
    expect(kept(ROW.repeat(Limit.PlanSlots))).toHaveLength(Limit.PlanSlots);
    expect(kept(ROW.repeat(Limit.PlanSlots + 1))).toBeUndefined();
  });

  it('is refused for a row whose numbers are valid but not written as the contract says', () => {
    for (const row of ['1,1,1000, 60;', '1,1,1e3,60;', '01,1,1000,60;', '1,1,1000,60.0;', '1,1,1000,60'])
      for (const before of ['', ROW]) {
        const d = draft({ slots: before + row });
        expect(readSlots(d, before === '' ? 1 : 2), row).toBe(false);
      }
  });
});

describe('a row of a plan', () => {
  it.each([
    [0, false],
    [1, true],
    [60_000, true],
    [60_001, false],
  ])('with the test number %i: accepted is %s', (test, taken) => {
    expect(kept(`${test},1,1000,60;`)).toEqual(taken ? [[test, 1, 1000, 1060]] : undefined);
    expect(kept(`${ROW}${test},1,1000,60;`)?.[1]).toEqual(taken ? [test, 1, 2000, 2060] : undefined);
  });

  it.each([
    [TestKind.None, true],
    [TestKind.Commissioning, true],
    [TestKind.Commissioning + 1, false],
  ])('of kind %i: accepted is %s', (kind, taken) => {
    expect(kept(`1,${kind},1000,60;`)).toEqual(taken ? [[1, kind, 1000, 1060]] : undefined);
  });

  it.each([
    [0, false],
    [1, true],
    [SLOT_SEC_MAX, true],
    [SLOT_SEC_MAX + 1, false],
  ])('of %i s: accepted is %s', (length, taken) => {
    expect(kept(`1,1,1000,${length};`)).toEqual(taken ? [[1, 1, 1000, 1000 + length]] : undefined);
  });

  it('begins so early that even the longest slot still ends within 32 bits', () => {
    const latest = LAST_SECOND - SLOT_SEC_MAX;
    expect(kept(`1,1,${latest},${SLOT_SEC_MAX};`)).toEqual([[1, 1, latest, LAST_SECOND]]);
    expect(kept(`1,1,${latest + 1},1;`)).toBeUndefined();
    expect(kept(`1,1,1000,60;2,1,${latest - 1000},60;`)?.[1]).toEqual([2, 1, latest, latest + 60]);
    expect(kept(`1,1,1000,60;2,1,${latest - 999},60;`)).toBeUndefined();
    expect(kept(`1,1,${latest},60;2,1,${LAST_SECOND},60;`)).toBeUndefined();
  });

  it('begins this long after the row before it, from zero on', () => {
    expect(kept('1,1,0,60;1,1,0,70;2,2,100,80;')).toEqual([
      [1, 1, 0, 60],
      [1, 1, 0, 70],
      [2, 2, 100, 180],
    ]);
  });
});
