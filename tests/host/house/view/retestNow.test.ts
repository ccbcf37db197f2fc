// A retest while the person who repaired the luminaire is still there: what may be started, or why not and when.
import { describe, expect, it } from 'vitest';
import { createDesired } from '../../../../host/house/desired/desired';
import { attendedRefusal } from '../../../../host/house/notes/attended';
import { type RetestQuestion, retestNow } from '../../../../host/house/view/retestNow';
import { newMemory } from '../bench';
import { HOUSE } from '../site';

const HOUR = 3600;
const DAY = 24 * HOUR;
/** A noon in Berlin standard time, at which the night number changes: 2026-02-02. */
const NOON = Date.UTC(2026, 1, 2, 11) / 1000;
const desired = createDesired({ site: HOUSE, memory: newMemory() });
desired.refresh(NOON - 10 * DAY);
const { plan } = desired.plan()!;
const [a] = HOUSE.circuits;

/** Two hours into the first day of a circuit's own from `NOON` on. */
function onDayOf(circuit: string): number {
  const { cycle, residue, noon } = plan.circuits.find((one) => one.circuit === circuit)!;
  for (let start = NOON; ; start += DAY)
    if ((((Math.floor((start - noon) / DAY) - residue) % cycle) + cycle) % cycle === 0)
      return start + 2 * HOUR;
}
const OWN = onDayOf('a');
const rested = {
  contact: 'reporting',
  phase: 'charged',
  sentence: 'Charged.',
  charged: 0,
  kind: '',
} as const;

function ask(more: Partial<RetestQuestion> = {}) {
  const question = { site: HOUSE, plan, circuit: a, status: rested, needs: 'brief', now: OWN } as const;
  return retestNow({ ...question, repairedAt: OWN - HOUR, ...more });
}

describe('after a repair', () => {
  it('offers the test that closes the defect, where the rules of an engineer’s window allow one', () => {
    expect(ask()).toEqual({ kind: 'brief', why: '', note: '' });
    expect(ask({ needs: 'full', repairedAt: OWN - 25 * HOUR })).toEqual({ kind: 'full', why: '', note: '' });
  });

  it('offers a function test until a new battery has charged, and says what that cannot show', () => {
    expect(ask({ needs: 'full' })).toEqual({
      ...{ kind: 'brief', why: '' },
      note: expect.stringMatching(
        /^It shows only that the lamp lights again\. The duration test that closes the defect .+ from \w{3} \d+ Feb 2026, 13:00\.$/,
      ),
    });
  });

  it('offers only a function test in own hours of a shared night', () => {
    const now = onDayOf('b') + 8 * HOUR;
    const share = plan.circuits.find(({ circuit }) => circuit === 'a')!;
    const night = Math.floor((now - share.noon) / DAY);
    const hours = { sharedCycle: 7, sharedResidue: night % 7, hoursFrom: 21 * HOUR, hoursSec: 2.5 * HOUR };
    const circuits = plan.circuits.map((one) => (one.circuit === 'a' ? { ...share, ...hours } : one));
    expect(ask({ now, needs: 'full', repairedAt: now - 2 * DAY, plan: { ...plan, circuits } })).toEqual({
      ...{ kind: 'brief', why: '' },
      note: 'It shows only that the lamp lights again. The duration test that closes the defect is possible only on days without tests of its neighbours.',
    });
  });

  it('says when it is possible where the day is a neighbour’s, in the words of an engineer’s window', () => {
    const now = onDayOf('b');
    const answer = ask({ now, repairedAt: now - HOUR });
    expect(answer.kind).toBe('');
    expect(answer.why).toMatch(
      /^Circuit a cannot be tested on .+ its neighbours \(b\), .+ Next possible: \w{3} \d+ Feb 12:00 to /,
    );
    expect(attendedRefusal(HOUSE, plan, 'a', { from: now, to: now + HOUR }, now)).toBe(answer.why);
  });

  it.each<[string, Partial<RetestQuestion>, RegExp]>([
    ['without a plan', { plan: undefined }, /^There is no plan yet\.$/],
    [
      'while its controller is silent',
      { status: { ...rested, contact: 'silent' } },
      /^Its controller is not heard/,
    ],
    [
      'before its batteries are full',
      { status: { ...rested, phase: 'recharging', charged: OWN + HOUR } },
      /^Its batteries recharge until \w{3} \d+ Feb 2026, 15:00; a test is possible after that\.$/,
    ],
    ['while it is held', { status: { ...rested, phase: 'held', sentence: 'On hold.' } }, /^On hold\.$/],
    ['late on its own day', { now: OWN + 22 * HOUR - 60 }, /^The day of circuit a ends at /],
  ])('offers none %s, and says why', (_when, more, why) => {
    const answer = ask(more);
    expect([answer.kind, answer.note]).toEqual(['', '']);
    expect(answer.why).toMatch(why);
  });
});
