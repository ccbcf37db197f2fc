// What the controller does to the guards in a simulation, and what is measured. Times in seconds.
import { LIMITS } from './faults';

/** Level of a controller pin or of a hand on the button from then on. */
type Change = [at: number, level: number];

/** One release: the coil must be off within a limit, and stay so until the window ends. */
export interface Window {
  name: string;
  /** The last rising edge, or the instant `enable` falls. */
  from: number;
  to: number;
}

/** Some periods of the timer's oscillator, read after `from`. */
interface Pace {
  from: number;
  periods: number;
}

export interface Timeline {
  end: number;
  /** Longest step of the simulation: bounds the error of every time measured. */
  step: number;
  drive: Change[];
  enable: Change[];
  /** The hand on the timer's button. */
  hand: Change[];
  /** 1: the controller has lost its supply and its pins float. */
  floats: Change[];
  /** The coil must be held from the first instant to the second. */
  held: [from: number, to: number][];
  releases: Window[];
  pace?: Pace;
}

const HIGH_SEC = 0.25;
/** Rising edges from `from` on, `count` of them, each `gap` after the one before; the last returns to low. */
function pulses(from: number, count: number, gap: number): Change[] {
  return Array.from({ length: count }, (_, i) => from + i * gap).flatMap((at): Change[] => [
    [at, 1],
    [at + HIGH_SEC, 0],
  ]);
}

/** The longest pause between rising edges that must not release the coil, s. */
const PAUSE_SEC = LIMITS.pauseMs / 1000;
const USUAL_SEC = 0.5;

/**
 * Rest after power-up, a long hold with the longest pauses, then the three endings: pulses stop low, pulses
 * stop high, `enable` falls while pulses continue.
 */
export const endings: Timeline = {
  end: 14.8,
  step: 5e-3,
  drive: [
    ...pulses(2, 7, PAUSE_SEC),
    ...pulses(8.5, 3, USUAL_SEC),
    [10, 1],
    [12, 0],
    ...pulses(12.2, 5, USUAL_SEC),
  ],
  enable: [
    [2, 1],
    [13.9, 0],
  ],
  hand: [],
  floats: [],
  // From one pull-in time after the first edge to just before the release is ordered.
  held: [
    [2.1, 2 + 7 * PAUSE_SEC - 0.001],
    [8.6, 10 + PAUSE_SEC],
    [12.3, 13.9],
  ],
  releases: [
    { name: 'low', from: 2 + 6 * PAUSE_SEC, to: 8.5 },
    { name: 'high', from: 10, to: 12 },
    { name: 'enable', from: 13.9, to: 14.8 },
  ],
};

const holding: Pick<Timeline, 'enable' | 'floats' | 'held' | 'releases'> = {
  enable: [[0.001, 1]],
  floats: [],
  held: [],
  releases: [],
};

/** The oscillator at its own pace while the coil is held. */
export const ownPace: Timeline = {
  ...holding,
  end: 3.8,
  step: 3e-3,
  drive: pulses(0.001, 8, USUAL_SEC),
  hand: [],
  pace: { from: 0.6, periods: 1 },
};

/** The oscillator with the button pressed. */
export const fastPace: Timeline = {
  ...holding,
  end: 0.055,
  step: 3e-5,
  drive: [[0.001, 1]],
  hand: [[0.002, 1]],
  pace: { from: 0.012, periods: 3 },
};

/** Flip-flops of the counter in the two timelines below: four periods instead of 8,192. */
export const SHORT_STAGES = 3;

/** The timer ends a hold, keeps the coil off while the drive continues, and is ready again after a release. */
export const expires: Timeline = {
  ...holding,
  end: 19,
  step: 5e-3,
  drive: [...pulses(0.001, 28, USUAL_SEC), ...pulses(17.5, 3, USUAL_SEC)],
  enable: [
    [0.001, 1],
    [14, 0],
    [17.5, 1],
  ],
  hand: [],
  held: [
    [0.1, 2.5],
    [17.7, 18.9],
  ],
  releases: [{ name: 'timer', from: 2.5, to: 14 }],
  pace: { from: 0.3, periods: 1 },
};

/** The first moments of a hold, in which only an oscillator without its parts gets anywhere. */
export const stray: Timeline = {
  ...holding,
  end: 0.006,
  step: 5e-6,
  drive: [[0.001, 1]],
  hand: [],
  pace: { from: 0.003, periods: 3 },
};

/** The timer ends a hold with the button pressed. */
export const hurried: Timeline = {
  ...holding,
  end: 0.3,
  step: 5e-5,
  drive: [[0.001, 1]],
  hand: [[0.0005, 1]],
  releases: [{ name: 'hurried', from: 0.01, to: 0.3 }],
  pace: { from: 0.004, periods: 2 },
};

/** The controller loses its supply; run with the detector's switch shorted, so that `enable` releases alone. */
export const floating: Timeline = {
  ...holding,
  end: 2,
  step: 5e-3,
  drive: pulses(0.2, 2, USUAL_SEC),
  enable: [[0.2, 1]],
  hand: [],
  floats: [[1.1, 1]],
  held: [[0.3, 1.1]],
  releases: [{ name: 'floating', from: 1.1, to: 2 }],
};
