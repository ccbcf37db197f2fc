import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ClockTrust, Phase, Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import { signingKey } from '../../../firmware/contract/signature';
import type { DownKind } from '../../../firmware/contract/topics';
import { clockTrust, utcAt } from '../../../firmware/core/clock';
import { appendRecord } from '../../../firmware/journal/journal';
import { loadSaved, PLAN_FILE, SETTINGS_FILE } from '../../../firmware/link/inbox';
import { sha256 } from '../../../simulator/digest';
import { Bench, IN_WINDOW, SETTINGS, START, WINDOW } from '../core/bench';
import { Door } from './door';

/** State that no refused message may change. */
function sacred(d: Door): unknown[] {
  const s = d.bench.s;
  const { phase, drive, holdUntil, utcBase, planRevision, slotCount } = s;
  return [phase, drive, holdUntil, utcBase, planRevision, slotCount, s.set.revision, d.inbox.journal.acked];
}

describe('an order', () => {
  it('that is signed and fresh is carried out, recorded with its author, and answered', () => {
    const d = new Door();
    d.give('order', d.order({ counter: 7 }));
    d.bench.run(d.bench.now + 1000);
    expect(d.bench.s.phase).toBe(Phase.Held);
    expect(d.inbox.replyCounter).toBe(7);
    expect(d.reply()).toBe(Reason.None);
    expect(d.bench.of('order')[0]).toMatchObject({ counter: 7, do: 2, arg: 600, reason: 0, who: 'porter' });
  });

  it('that the core refuses is recorded with the reason', () => {
    const d = new Door();
    d.give('order', d.order({ do: 1, arg: 0 }));
    expect(d.reply()).toBe(Reason.NothingToDo);
    expect(d.bench.of('order')[0].reason).toBe(Reason.NothingToDo);
    expect(d.inbox.counter).toBe(1);
  });

  const good = (d: Door) => d.order();
  const refusals: [string, Reason, (d: Door) => string, boolean][] = [
    ['is not signed', Reason.BadSignature, (d) => good(d).replace(/,"mac".*/, '}'), false],
    [
      'was signed with another key',
      Reason.BadSignature,
      (d) => d.signed('order', { v: 1 }, signingKey('x', sha256)),
      false,
    ],
    [
      'was meant for another controller',
      Reason.BadSignature,
      (d) => d.signed('order', { v: 1 }, undefined, 'site/c2'),
      false,
    ],
    ['was signed as a plan', Reason.BadSignature, (d) => d.signed('plan', { v: 1, counter: 1 }), false],
    ['was changed on its way', Reason.BadSignature, (d) => good(d).replace('"arg":600', '"arg":601'), false],
    ['is empty', Reason.BadSignature, () => '', false],
    ['is of another version', Reason.WrongVersion, (d) => d.order({ v: 2 }), true],
    ['is signed but no JSON', Reason.Malformed, (d) => d.signed('order', ['{"v":1,,']), false],
    ['has no counter', Reason.Malformed, (d) => d.order({ counter: undefined }), true],
    ['has a counter of zero', Reason.Malformed, (d) => d.order({ counter: 0 }), true],
    ['has a counter that is a text', Reason.Malformed, (d) => d.order({ counter: '1' }), true],
    ['names no one', Reason.Malformed, (d) => d.order({ who: '' }), true],
    ['names someone with a quote', Reason.Malformed, (d) => d.order({ who: 'a"b' }), true],
    ['names someone with a backslash', Reason.Malformed, (d) => d.order({ who: 'a\\b' }), true],
    ['names someone with too long a name', Reason.Malformed, (d) => d.order({ who: 'x'.repeat(41) }), true],
    ['asks for a fraction', Reason.Malformed, (d) => d.order({ do: 1.5 }), true],
    ['asks with a negative number', Reason.Malformed, (d) => d.order({ arg: -1 }), true],
    ['has expired', Reason.Stale, (d) => d.order({ expires: d.utc() - 1 }), true],
    [
      'expires too far ahead',
      Reason.OutOfBounds,
      (d) => d.order({ expires: d.utc() + Limit.OrderLifeSecMax + 1 }),
      true,
    ],
  ];
  it.each(refusals)('that %s changes nothing and is recorded', (_name, reason, text, answered) => {
    const d = new Door();
    const before = sacred(d);
    d.give('order', text(d));
    expect(sacred(d)).toEqual(before);
    expect(d.refusals()).toEqual([reason]);
    expect(d.inbox.refused).toBe(1);
    expect(d.inbox.counter).toBe(0);
    expect(d.reply()).toBe(answered ? reason : undefined);
  });

  it('that was retained by the broker is refused, even if valid', () => {
    const d = new Door();
    d.give('order', d.order(), 1);
    expect(d.refusals()).toEqual([Reason.Retained]);
    expect(d.bench.s.holdUntil).toBe(0);
  });

  it('is carried out once: the same or an older counter is a replay', () => {
    const d = new Door();
    const text = d.order({ counter: 5 });
    d.give('order', text);
    expect(d.reply()).toBe(Reason.None);
    d.give('order', text);
    expect(d.reply()).toBe(Reason.Replayed);
    d.give('order', d.order({ counter: 4 }));
    expect(d.reply()).toBe(Reason.Replayed);
    d.give('order', d.order({ counter: 6 }));
    expect(d.reply()).toBe(Reason.None);
    expect(d.bench.of('order')).toHaveLength(2);
  });

  it('is not believed if the clock was never set, since it might be old', () => {
    const d = new Door(new Bench({}, false).plan([]).run(IN_WINDOW));
    d.give('order', d.order());
    expect(d.reply()).toBe(Reason.ClockUntrusted);
  });

  it('cannot be pushed past its bounds by any numbers, signed or not', () => {
    const number = fc.oneof(fc.integer(), fc.double(), fc.constant(null), fc.constant('1'));
    const fields = fc.record({ counter: number, expires: number, do: number, arg: number, who: fc.string() });
    fc.assert(
      fc.property(fc.array(fields, { maxLength: 10 }), (orders) => {
        const d = new Door();
        for (const o of orders) d.give('order', d.signed('order', { v: 1, ...o }));
        d.bench.run(d.bench.now + 5000);
        expect(d.bench.broken).toEqual([]);
        expect(d.bench.s.holdUntil - d.bench.now).toBeLessThanOrEqual(Limit.HoldSecMax * 1000);
        expect(d.bench.drives).toEqual([]);
      }),
    );
  });
});

describe('a flood', () => {
  it('of bad messages does not wear out the flash: one record an hour, but every one counted', () => {
    const d = new Door();
    for (let i = 0; i < 5 * 3600; i++) {
      d.give('order', `rubbish ${i}`);
      d.bench.now += 1000;
    }
    expect(d.inbox.refused).toBe(18_000);
    expect(d.refusals()).toHaveLength(5);
  });

  it('of arbitrary text on any topic changes nothing and never throws', () => {
    const kinds = fc.constantFrom<DownKind>('order', 'plan', 'settings', 'ack', 'time');
    const d = new Door();
    const before = sacred(d);
    fc.assert(
      fc.property(kinds, fc.oneof(fc.string(), fc.json()), (kind, text) => {
        d.give(kind, text);
        expect(sacred(d)).toEqual(before);
      }),
    );
  });

  it('of signed nonsense of any shape changes nothing and never throws', () => {
    const kinds = fc.constantFrom<DownKind>('order', 'plan', 'settings', 'ack', 'time');
    fc.assert(
      fc.property(kinds, fc.dictionary(fc.string(), fc.jsonValue()), (kind, message) => {
        const d = new Door();
        const before = sacred(d);
        d.give(kind, d.signed(kind, { v: 1, ...message }));
        expect(sacred(d)).toEqual(before);
      }),
    );
  });
});

describe('settings and plan', () => {
  const slots = `1,1,${WINDOW.from},${WINDOW.to - WINDOW.from};`;
  const plan = (revision: number, fields = {}) => ({
    v: 1,
    revision,
    until: START + 9_000_000,
    slots,
    ...fields,
  });

  it('of a newer revision are adopted and found again after a start', () => {
    const d = new Door();
    d.give('settings', d.signed('settings', { ...SETTINGS, revision: 2, briefSec: 90 }));
    d.give('plan', d.signed('plan', plan(2)));
    expect([d.bench.s.set.briefSec, d.bench.s.planRevision]).toEqual([90, 2]);
    const next = new Door(new Bench(null));
    next.flash.save(SETTINGS_FILE, d.flash.load(SETTINGS_FILE));
    next.flash.save(PLAN_FILE, d.flash.load(PLAN_FILE));
    loadSaved(next.inbox, 0);
    expect([next.bench.s.set.briefSec, next.bench.s.planRevision]).toEqual([90, 2]);
  });

  it('of the same or an older revision are a replay and change nothing', () => {
    const d = new Door(new Bench({ revision: 5 }).plan([], undefined, 5).run(1000));
    const before = JSON.stringify(d.bench.s.set);
    for (const revision of [5, 4, 0, -1]) {
      d.give('settings', d.signed('settings', { ...SETTINGS, revision, briefSec: 90 }));
      d.give('plan', d.signed('plan', plan(revision)));
    }
    expect(JSON.stringify(d.bench.s.set)).toBe(before);
    expect([d.bench.s.planRevision, d.bench.s.slotCount]).toEqual([5, 0]);
  });

  it('out of bounds are refused and not kept', () => {
    const d = new Door();
    d.give('settings', d.signed('settings', { ...SETTINGS, revision: 2, briefSec: 5 }));
    d.bench.now += Limit.RefusalRecordMs;
    d.give('plan', d.signed('plan', plan(2, { slots: '1,1,200,0;' })));
    expect(d.refusals()).toEqual([Reason.OutOfBounds, Reason.OutOfBounds]);
    expect([d.flash.load(SETTINGS_FILE), d.flash.load(PLAN_FILE)]).toEqual(['', '']);
    expect([d.bench.s.set.revision, d.bench.s.planRevision]).toEqual([1, 1]);
  });

  it('do not change during a running test', () => {
    const d = new Door(new Bench().planned(TestKind.Brief).runToDischarge());
    d.give('settings', d.signed('settings', { ...SETTINGS, revision: 2, briefSec: 90 }));
    d.give('plan', d.signed('plan', plan(2)));
    expect([d.bench.s.set.revision, d.bench.s.planRevision]).toEqual([1, 1]);
    d.bench.run(d.bench.now + 300_000);
    d.give('settings', d.signed('settings', { ...SETTINGS, revision: 2, briefSec: 90 }));
    expect(d.bench.s.set.revision).toBe(2);
  });

  it('damaged in flash, unsigned or of another version are ignored at the start', () => {
    const good = new Door();
    const text = good.signed('settings', { ...SETTINGS, revision: 9 });
    for (const bad of [
      '',
      'x',
      text.slice(1),
      text.replace('"revision":9', '"revision":8'),
      good.signed('settings', { ...SETTINGS, v: 2, revision: 9 }),
    ]) {
      const d = new Door(new Bench(null));
      d.flash.save(SETTINGS_FILE, bad);
      d.flash.save(PLAN_FILE, bad);
      loadSaved(d.inbox, 0);
      expect([d.bench.s.set.revision, d.bench.s.planRevision]).toEqual([0, 0]);
    }
  });
});

describe('the time', () => {
  const answer = (d: Door, fields: object) =>
    d.signed('time', { v: 1, boot: 1, up: d.bench.now, utc: (START + 5_000_000) * 1000, ...fields });

  it('is taken from a fresh answer to this boot', () => {
    const d = new Door(new Bench({}, false).run(10_000));
    expect(clockTrust(d.bench.s, d.bench.now)).toBe(ClockTrust.NeverSet);
    d.give('time', answer(d, { up: d.bench.now - Limit.TimeAnswerMs }));
    expect(utcAt(d.bench.s, d.bench.now)).toBe(START + 5_000_000 + Limit.TimeAnswerMs / 1000);
    expect(clockTrust(d.bench.s, d.bench.now)).toBe(ClockTrust.Synchronised);
  });

  it.each([
    ['of another boot', { boot: 2 }],
    ['to a request too old', { up: 10_000 - Limit.TimeAnswerMs - 1 }],
    ['to a request that was never made', { up: 10_001 }],
    ['to a request of no number', { up: '10000' }],
    ['from before there was such a thing', { utc: 1_000_000_000_000 }],
    ['from the far future', { utc: 4_100_000_000_000 }],
    ['with a fraction', { utc: 1_800_000_000_000.5 }],
  ])('is not taken from an answer %s', (_name, fields) => {
    const d = new Door(new Bench({}, false).run(10_000));
    d.give('time', answer(d, fields));
    expect(d.bench.s.clockSet).toBe(0);
  });

  it('is not set back by a replayed answer', () => {
    const d = new Door(new Bench({}, false).run(10_000));
    const text = answer(d, {});
    d.give('time', text);
    const base = d.bench.s.utcBase;
    d.give('time', answer(d, { utc: (START + 5_000_001) * 1000 }));
    d.bench.now += Limit.TimeAnswerMs + 1;
    d.give('time', text);
    expect(d.bench.s.utcBase).toBe(base + 1000);
  });

  it.each([
    ['forward', 18_000],
    ['back', -18_000],
  ])('ends a running test that a clock jump of %s puts outside every window', (_name, jumpSec) => {
    const d = new Door(new Bench().planned(TestKind.Full).runToDischarge());
    const { bench } = d;
    for (let i = 0; i < 2; i++) {
      d.give('time', answer(d, { utc: (START + jumpSec) * 1000 + bench.now }));
      bench.run(bench.now + Limit.ClockConfirmMs);
    }
    expect(bench.s.drive).toBe(0);
    bench.run(bench.now + 10_000);
    expect(bench.result().end).toBe(Reason.OutsideWindow);
    expect(bench.result().lamps.every((lamp) => lamp[0] === Verdict.Void)).toBe(true);
    expect(bench.s.phase).not.toBe(Phase.Fault);
  });

  it('is taken from answers that contradict the clock only when they agree, and then recorded', () => {
    const d = new Door(new Bench({}, false).run(10_000));
    d.give('time', answer(d, {}));
    for (const jumpSec of [3600, -7200]) {
      const utc = utcAt(d.bench.s, d.bench.now) + jumpSec;
      d.give('time', answer(d, { utc: utc * 1000 }));
      expect(d.bench.s.outCount).toBe(0);
      d.bench.now += Limit.ClockConfirmMs;
      d.give('time', answer(d, { utc: utc * 1000 + Limit.ClockConfirmMs }));
      expect(utcAt(d.bench.s, d.bench.now)).toBe(utc + Limit.ClockConfirmMs / 1000);
      d.bench.perform();
    }
    expect(d.bench.of('clock').map((r) => [r.reason, r.arg])).toEqual([
      [Reason.ClockFault, 3600],
      [Reason.ClockFault, -7200],
    ]);
  });
});

describe('an acknowledgement', () => {
  it('is accepted for records that exist, and only of this journal', () => {
    const d = new Door();
    appendRecord(d.inbox.journal, ['"kind":"x"']);
    for (const bad of [
      { through: 2 },
      { through: -1 },
      { through: '1' },
      { through: 1, journal: 'bbbb0000' },
    ])
      d.give('ack', d.signed('ack', { v: 1, journal: 'aaaa0001', ...bad }));
    expect(d.inbox.journal.acked).toBe(0);
    d.give('ack', d.signed('ack', { v: 1, journal: 'aaaa0001', through: 1 }));
    expect(d.inbox.journal.acked).toBe(1);
  });
});
