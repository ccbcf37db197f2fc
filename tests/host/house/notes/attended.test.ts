// Windows in which someone is working: entered by name, checked against own days, sent with the plan.
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { Reason, TestKind } from '../../../../firmware/contract/codes';
import type { PlanMessage } from '../../../../firmware/contract/messages';
import { takeTime } from '../../../../firmware/core/clock';
import { dueNow, notOwnReason, openWindowEnd, takePlan } from '../../../../firmware/core/schedule';
import { newCore } from '../../../../firmware/core/state';
import { attendedRefusal } from '../../../../host/house/notes/attended';
import { openLogbook } from '../../../../host/logbook/engines/open';
import type { Logbook } from '../../../../host/logbook/logbook';
import type { Plan } from '../../../../host/planner/plan/plan';
import { slotsOf } from '../../../support/slots';
import { KEYS, newJournal, resultFields } from '../../logbook/records';
import { newLoggedHouse } from '../bench';
import { HOUSE } from '../site';

/** A noon in Berlin standard time (11:00 UTC), at which the night number changes: 2026-02-02. */
const NOON = Date.UTC(2026, 1, 2, 11) / 1000;
const HOUR = 3600;
const DAY = 86400;

let logbook: Logbook;
let running: Awaited<ReturnType<typeof newLoggedHouse>>;

beforeEach(async () => {
  logbook = await openLogbook(':memory:');
  running = await newLoggedHouse(logbook);
  running.refresh(NOON - 10 * DAY);
});
afterEach(async () => await logbook.close());

const plan = (): Plan => running.house.desired.plan()!.plan;
const message = (circuit = 'a'): PlanMessage => running.house.desired.of(circuit).plan!;
const rows = (circuit = 'a') => slotsOf(message(circuit));

/** Start of the first own day of a circuit at or after NOON, UTC second. */
function ownDay(circuit: string): number {
  const { cycle, residue, noon } = plan().circuits.find((c) => c.circuit === circuit)!;
  let start = NOON;
  while ((((Math.floor((start - noon) / DAY) - residue) % cycle) + cycle) % cycle !== 0) start += DAY;
  return start;
}
const refusal = (circuit: string, from: number, to: number, now = from - HOUR) =>
  attendedRefusal(HOUSE, plan(), circuit, { from, to }, now);

describe('a window for work on a circuit', () => {
  it("is permitted on the circuit's own days, noon to noon, and refused on its neighbour's", () => {
    const own = ownDay('a');
    expect(refusal('a', own, own + 4 * HOUR)).toBe('');
    expect(refusal('a', own + 20 * HOUR, own + 24 * HOUR)).toBe('');
    const theirs = ownDay('b');
    expect(refusal('a', theirs, theirs + 4 * HOUR)).toMatch(
      /^Circuit a cannot be tested on \w{3} \d+ Feb 12:00: that day, from noon to noon, is for tests of its neighbours \(b\), which are never tested on the same day\. Next possible: \w{3} \d+ Feb 12:00 to .*\.$/,
    );
  });

  it('suggests own days that really are own days', () => {
    const sentence = refusal('a', ownDay('b'), ownDay('b') + HOUR, NOON);
    const dates = [...sentence.matchAll(/(\d+) Feb,? 12:00 to/g)].map((match) => Number(match[1]));
    expect(dates).toHaveLength(3);
    for (const date of dates) {
      const start = Date.UTC(2026, 1, date, 11) / 1000;
      expect(refusal('a', start, start + HOUR)).toBe('');
    }
  });

  it('is permitted in own hours of a shared night, where the controller makes function tests, and not beside them', () => {
    const theirs = ownDay('b');
    const share = plan().circuits.find(({ circuit }) => circuit === 'a')!;
    const night = Math.floor((theirs - share.noon) / DAY);
    // 22:00 to 00:30 in Berlin standard time.
    const hours = { hoursFrom: 21 * HOUR, hoursSec: 2.5 * HOUR };
    const shared = { ...share, sharedCycle: 7, sharedResidue: night % 7, ...hours };
    const circuits = plan().circuits.map((one) => (one.circuit === 'a' ? shared : one));
    const asked = (from: number, to: number) =>
      attendedRefusal(HOUSE, { ...plan(), circuits }, 'a', { from, to }, theirs);
    const [from, to] = [theirs + 10 * HOUR, theirs + 12.5 * HOUR];
    const core = newCore(1);
    Object.assign(core.set, shared);
    const controllers = (kind: TestKind, start: number, end: number) =>
      notOwnReason(core, kind, start, end, 0);
    expect(asked(from, to)).toBe('');
    expect(controllers(TestKind.Brief, from, to)).toBe(Reason.None);
    expect(controllers(TestKind.Full, from, to)).toBe(Reason.NotOwnNight);
    for (const [start, end] of [
      [from - 60, to],
      [from, to + 60],
      [theirs, theirs + HOUR],
    ]) {
      expect(asked(start, end)).toMatch(
        / In the night after, function tests of a are possible from \w{3} \d+ Feb 22:00 to \w{3} \d+ Feb 00:30\.$/,
      );
      expect(controllers(TestKind.Brief, start, end)).toBe(Reason.OutsideOwnHours);
    }
  });

  it('is refused in one sentence if it is over, too short, too long, or on a date without tests', () => {
    const own = ownDay('a');
    expect(refusal('a', own, own + HOUR, own + HOUR)).toBe('That time is already over; give a later end.');
    expect(refusal('a', own, own + 599)).toBe('The time must be at least 10 min.');
    expect(refusal('a', own + 20 * HOUR, own + 25 * HOUR)).toMatch(/The day of circuit a ends at/);
    const date = new Date(own * 1000).toISOString().slice(0, 10);
    const site = { ...HOUSE, noTestDates: [date] };
    expect(attendedRefusal(site, plan(), 'a', { from: own, to: own + HOUR }, own)).toBe(
      `The site file does not allow tests on ${date}.`,
    );
  });

  it('goes to the controller as a row without a test under a higher revision, and to no other circuit', async () => {
    const own = ownDay('a');
    running.refresh(own);
    const before = { a: message('a'), b: message('b') };
    expect(await running.entering.attend('a', 4, 'Anna', own)).toMatchObject({ ok: true });
    expect(running.refresh(own)).toBe(true);
    expect(message('a').revision).toBeGreaterThan(before.a.revision);
    expect(rows('a')).toContainEqual([60000, TestKind.None, own, own + 4 * HOUR]);
    expect(rows('a').length).toBe(slotsOf(before.a).length + 1);
    expect(message('b')).toEqual(before.b);
    const starts = rows('a').map((row) => row[2]);
    expect(starts).toEqual([...starts].sort((x, y) => x - y));
    expect(running.refresh(own + 60)).toBe(false);
    await running.memory.written();
    const again = await newLoggedHouse(logbook);
    await again.follow();
    expect(again.refresh(own + 60)).toBe(false);
    expect(again.house.desired.of('a').plan?.revision).toBe(message('a').revision);
  });

  it('lets the controller accept orders, with nothing due in it', async () => {
    const own = ownDay('a');
    await running.entering.attend('a', 4, 'Anna', own);
    running.refresh(own);
    const core = newCore(1);
    core.set.revision = 1;
    takeTime(core, (own + 60) * 1000, 0, 0);
    expect(takePlan(core, message(), 1, 0)).toBe(true);
    expect(openWindowEnd(core, 0)).toBe(own + 4 * HOUR);
    expect(dueNow(core, 0).kind).toBe(TestKind.None);
    expect(openWindowEnd(core, 4 * HOUR * 1000)).toBe(0);
  });

  it('leaves out tests already done, so that a new revision does not run them again', async () => {
    const own = ownDay('a');
    running.refresh(own);
    const [test, kind] = rows('a')[0];
    const result = { type: kind, test, plan: message().revision, started: own };
    const fields = resultFields([[1, 0, 90, 300, 300, 290, 2]], result);
    await logbook.appendBatch([newJournal('demo/a').record('result', fields)]);
    await running.follow();
    await running.entering.attend('a', 4, 'Anna', own);
    running.refresh(own);
    expect(rows('a').some((row) => row[0] === test)).toBe(false);
    expect(rows('a').some((row) => row[0] === test + 1)).toBe(true);
  });

  it('is removed when someone cancels it, and ends on its own when it is over', async () => {
    const own = ownDay('a');
    await running.entering.attend('a', 4, 'Anna', own);
    running.refresh(own);
    const { revision } = message();
    expect(await running.entering.attend('a', 0, 'Ben', own + HOUR)).toMatchObject({ ok: true });
    running.refresh(own + HOUR);
    expect(message().revision).toBeGreaterThan(revision);
    expect(rows().some((row) => row[1] === TestKind.None)).toBe(false);
    expect(await running.entering.attend('a', 0, 'Ben', own + HOUR)).toMatchObject({ ok: false });
    await running.entering.attend('a', 1, 'Anna', own + 2 * HOUR);
    running.refresh(own + 2 * HOUR);
    const last = message().revision;
    expect(running.refresh(own + 4 * HOUR)).toBe(false);
    expect(message().revision).toBe(last);
    expect(rows().some((row) => row[1] === TestKind.None)).toBe(false);
  });

  it('is in the log book by name, and on the page until it ends', async () => {
    const own = ownDay('a');
    await running.entering.attend('a', 4, 'Anna', own);
    expect(await logbook.page({ limit: 1 })).toMatchObject([
      { kind: 'attended', address: 'demo/a/host', at: own },
    ]);
    expect(await logbook.verify(KEYS)).toMatchObject({ valid: true });
    const attended = { from: own, to: own + 4 * HOUR, who: 'Anna' };
    expect(running.house.view.controller('a', own + HOUR).attended).toEqual(attended);
    expect(running.house.view.controller('a', own + 4 * HOUR).attended).toBeNull();
    expect(running.house.view.controller('b', own + HOUR).attended).toBeNull();
  });

  it('is refused by the page as by the command, with nothing written', async () => {
    const theirs = ownDay('b');
    expect(await running.entering.attend('a', 2, 'Anna', theirs)).toMatchObject({
      ok: false,
      answer: expect.stringContaining('is for tests of its neighbours (b)'),
    });
    expect(await logbook.entries()).toBe(0);
  });
});
