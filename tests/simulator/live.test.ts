// The pace at which a demonstration is watched.
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { Phase } from '../../firmware/contract/codes';
import type { Fleet } from '../../simulator/fleet';
import { LiveFleet, PACE } from '../../simulator/live';

const BROKER = { host: '127.0.0.1', port: 1 };

beforeEach(() => vi.useFakeTimers({ toFake: ['performance', 'setInterval', 'clearInterval'] }));
afterEach(() => vi.useRealTimers());

/** Without a controller that would need a broker; a phase put into it is only looked at. */
function emptyFleet(): { fleet: Fleet; see(phase: Phase): void } {
  const nodes: unknown[] = [];
  const fleet = { nodes, now: 0, run: (until: number) => Object.assign(fleet, { now: until }) };
  return {
    fleet: fleet as unknown as Fleet,
    see: (phase) => void nodes.push({ controller: { core: { phase } } }),
  };
}

it('all but stands still while nobody is there, and then gives time to find a first short test', () => {
  const { fleet, see } = emptyFleet();
  let isHeld = true;
  const live = new LiveFleet({ fleet, broker: BROKER, isHeld: () => isHeld });
  vi.advanceTimersByTime(300_000);
  expect(fleet.now).toBeLessThanOrEqual(30_000);
  isHeld = false;
  // A long hold has used up some of that minute.
  vi.advanceTimersByTime(4_000);
  see(Phase.Brief);
  expect(live.pace()).toBe(PACE.first);
  fleet.nodes.length = 0;
  vi.advanceTimersByTime(4_000);
  // From the first sign-in to a test that was a minute away.
  expect(fleet.now).toBeGreaterThan(60_000);
  vi.advanceTimersByTime(100);
  see(Phase.Brief);
  expect(live.pace()).toBe(PACE.first);
  fleet.nodes.length = 0;
  vi.advanceTimersByTime(60_000);
  see(Phase.Brief);
  expect(live.pace()).toBe(PACE.brief);
  fleet.nodes.length = 0;
  live.stop();
});

it('waits for nobody where nobody has to sign in', () => {
  const { fleet, see } = emptyFleet();
  const live = new LiveFleet({ fleet, broker: BROKER });
  vi.advanceTimersByTime(8_100);
  expect(fleet.now).toBeGreaterThan(60_000);
  see(Phase.Brief);
  expect(live.pace()).toBe(PACE.brief);
  fleet.nodes.length = 0;
  live.stop();
});
