import { describe, expect, it } from 'vitest';
import { longestPauseMs } from './pulses';
import { fullExtent, playOnSimulator } from './scenario';

/** The shortest drop-out time of the pulse detector that docs/wiring.md computes, ms. */
const DETECTOR_SHORTEST_MS = 750;
/**
 * The longest each may take on the slowest board while the pulses continue, ms: a turn with something due in
 * it, a turn without, a signed message, a bare confirmation from the broker. Turns and messages of 250 each
 * would not do: right after an opening several messages come at once.
 */
const TURN_MS = 150;
const IDLE_MS = 50;
const MESSAGE_MS = 200;
const CONFIRMATION_MS = 40;
/** Hex characters and time of a line with a bare confirmation. */
const CONFIRMATION_LENGTH = 40;

function worstMs(line: string): number {
  if (line[0] === 'T') return TURN_MS;
  return line.length < CONFIRMATION_LENGTH ? CONFIRMATION_MS : MESSAGE_MS;
}

describe('pulses of the relay', () => {
  const given = ['T 250 3', 'T 1000 1', 'D 1010 5a', 'T 2000 1', 'T 3000 3'];
  const told = ['P 1000 1', 'P 3000 0'];
  const pause = (turnMs: number, dataMs: number): number =>
    longestPauseMs(given, told, { idleMs: 10, ofLine: (line) => (line[0] === 'T' ? turnMs : dataMs) });

  it('rise every second turn where nothing takes long', () => {
    expect(pause(10, 10)).toBe(500);
    expect(pause(250, 0)).toBe(500);
  });

  it('come late after what takes longer than the time to the next turn', () => {
    expect(pause(10, 790)).toBe(810);
    expect(pause(240, 490)).toBe(740);
  });

  it('are never late where the coil is not driven', () => {
    expect(longestPauseMs(given, [], { idleMs: 900, ofLine: () => 900 })).toBe(0);
  });
});

it('keep the pulse detector awake through a brief and a full test with every turn and message at its limit', () => {
  const { trace } = playOnSimulator(fullExtent(4, 10800, 61));
  expect(trace.told.filter((line) => line[0] === 'P')).toHaveLength(4);
  const pause = longestPauseMs(trace.given, trace.told, { idleMs: IDLE_MS, ofLine: worstMs });
  expect(pause).toBeGreaterThan(500);
  expect(pause).toBeLessThanOrEqual(DETECTOR_SHORTEST_MS);
  const slower = longestPauseMs(trace.given, trace.told, { idleMs: IDLE_MS, ofLine: () => 250 });
  expect(slower).toBeGreaterThan(DETECTOR_SHORTEST_MS);
});
