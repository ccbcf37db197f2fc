import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  DETECTOR_MS,
  driveRelay,
  HARDWARE_LIMIT_MS,
  newRelay,
  type Relay,
  relayChangeAt,
  settleRelay,
} from '../../../simulator/plant/relay';

const LEASE = 3000;

/** Opens a fresh relay at 0, with the lease renewed every second until `until`. */
function hold(r: Relay, until: number): void {
  for (let now = 0; now <= until; now += 1000) {
    driveRelay(r, true, now + LEASE, now);
    settleRelay(r, now);
  }
}

describe('a relay', () => {
  it('is closed at rest and has nothing to do', () => {
    const r = newRelay();
    expect([r.open, relayChangeAt(r)]).toEqual([false, Number.POSITIVE_INFINITY]);
  });

  it('opens a moment after it is driven and closes a moment after it is released', () => {
    const r = newRelay();
    driveRelay(r, true, LEASE, 0);
    const pulls = relayChangeAt(r);
    settleRelay(r, pulls - 1);
    expect(r.open).toBe(false);
    settleRelay(r, pulls);
    expect(r.open).toBe(true);
    driveRelay(r, false, 0, 1000);
    const drops = relayChangeAt(r);
    settleRelay(r, drops - 1);
    expect(r.open).toBe(true);
    settleRelay(r, drops);
    expect(r.open).toBe(false);
    expect(Math.max(pulls, drops - 1000)).toBeLessThan(200);
  });

  it('closes within 2 s of the end of its lease when nobody renews it', () => {
    const r = newRelay();
    hold(r, 60_000);
    expect(r.open).toBe(true);
    const lost = relayChangeAt(r);
    expect(lost).toBe(60_000 + LEASE + DETECTOR_MS);
    settleRelay(r, lost);
    settleRelay(r, relayChangeAt(r));
    expect([r.driven, r.open]).toEqual([false, false]);
    expect(relayChangeAt(r)).toBe(Number.POSITIVE_INFINITY);
  });

  it('is released by the hardware timer while still driven, and opens again only after the program has released it', () => {
    const r = newRelay();
    hold(r, HARDWARE_LIMIT_MS + 60_000);
    settleRelay(r, HARDWARE_LIMIT_MS + 61_000);
    expect([r.driven, r.open]).toEqual([false, false]);
    const later = HARDWARE_LIMIT_MS + 70_000;
    driveRelay(r, false, 0, later);
    driveRelay(r, true, later + LEASE, later);
    settleRelay(r, later + 1000);
    expect(r.open).toBe(true);
  });

  it('welded closed does not open, and opens again once repaired', () => {
    const r = newRelay();
    r.welds.push({ from: 0, to: 50_000 });
    hold(r, 10_000);
    expect(r.open).toBe(false);
    driveRelay(r, false, 0, 11_000);
    driveRelay(r, true, 60_000 + LEASE, 60_000);
    settleRelay(r, 60_500);
    expect(r.open).toBe(true);
  });

  it('sticking open closes late, even when its lease was lost', () => {
    for (const letGo of [true, false]) {
      const r = newRelay();
      r.sticks.push({ from: 0, to: 100_000, stickMs: 20_000, freesAfter: 0 });
      hold(r, 10_000);
      if (letGo) driveRelay(r, false, 0, 10_000);
      else settleRelay(r, relayChangeAt(r));
      const released = letGo ? 10_000 : 10_000 + LEASE + DETECTOR_MS;
      settleRelay(r, released + 19_999);
      expect(r.open).toBe(true);
      settleRelay(r, released + 20_000);
      expect(r.open).toBe(false);
    }
  });

  it('whose coil breaks releases at once, and pulls in again if it is repaired while still driven', () => {
    const r = newRelay();
    r.openCoils.push({ from: 10_000, to: 20_000 });
    driveRelay(r, true, 60_000, 0);
    const edges: number[] = [];
    for (let now = 0; now < 30_000; now = relayChangeAt(r)) {
      const was = r.open;
      settleRelay(r, now);
      if (r.open !== was) edges.push(now);
    }
    expect(edges).toEqual([60, 10_120, 20_060]);
  });

  it('that sticks closes when it is repaired', () => {
    const r = newRelay();
    r.sticks.push({ from: 0, to: 50_000, stickMs: Number.POSITIVE_INFINITY, freesAfter: 0 });
    hold(r, 10_000);
    driveRelay(r, false, 0, 10_000);
    expect(relayChangeAt(r)).toBe(50_000);
    settleRelay(r, 50_000);
    expect(r.open).toBe(false);
  });

  it('chatters after each move for the given time, and then follows the armature', () => {
    const r = newRelay();
    r.bounces.push({ from: 0, to: 100_000, bounceMs: 200 });
    const seen = (from: number, to: number) => {
      const states = new Set<boolean>();
      for (let at = from; at < to; at += 5) {
        settleRelay(r, at);
        states.add(r.open);
      }
      return [...states].sort();
    };
    expect(seen(0, 500)).toEqual([false]);
    driveRelay(r, true, 500 + LEASE, 500);
    expect(seen(560, 760)).toEqual([false, true]);
    expect(seen(760, 2000)).toEqual([true]);
    driveRelay(r, false, 0, 2000);
    expect(seen(2120, 2320)).toEqual([false, true]);
    expect(seen(2320, 4000)).toEqual([false]);
  });

  it('that sticks comes free with the given exercise, not before', () => {
    const r = newRelay();
    r.sticks.push({ from: 0, to: 1e6, stickMs: Number.POSITIVE_INFINITY, freesAfter: 2 });
    hold(r, 5000);
    driveRelay(r, false, 0, 6000);
    for (const at of [20_000, 70_000]) {
      settleRelay(r, at);
      expect(r.open).toBe(true);
      driveRelay(r, true, at + 1000, at);
      driveRelay(r, false, 0, at + 750);
    }
    settleRelay(r, 71_000);
    expect([r.open, relayChangeAt(r)]).toEqual([false, Number.POSITIVE_INFINITY]);
  });

  it('is in the same position whether it is settled often or rarely', () => {
    const wish = fc.record({
      on: fc.boolean(),
      lease: fc.integer({ min: 0, max: 5000 }),
      wait: fc.integer({ min: 1, max: 9000 }),
    });
    const instant = fc.integer({ min: 0, max: 9000 }).map((n) => n * 10);
    const breaking = fc.array(
      fc.tuple(instant, instant).map(([from, lasts]) => ({ from, to: from + lasts })),
      { maxLength: 2 },
    );
    fc.assert(
      fc.property(
        fc.array(wish, { maxLength: 20 }),
        fc.constantFrom(0, 200, 5000),
        breaking,
        (wishes, bounceMs, breaks) => {
          const often = newRelay();
          const seldom = newRelay();
          for (const r of [often, seldom]) {
            r.bounces.push({ from: 0, to: 1e6, bounceMs });
            r.openCoils.push(...breaks);
          }
          let now = 0;
          for (const w of wishes) {
            driveRelay(often, w.on, now + w.lease, now);
            driveRelay(seldom, w.on, now + w.lease, now);
            for (let at = now; at < now + w.wait; at += 10) settleRelay(often, at);
            now += w.wait;
            // The simulator settles at every change the relay announces.
            while (relayChangeAt(seldom) < now) settleRelay(seldom, relayChangeAt(seldom));
            settleRelay(often, now);
            settleRelay(seldom, now);
            expect([seldom.open, seldom.driven]).toEqual([often.open, often.driven]);
          }
        },
      ),
    );
  });
});
