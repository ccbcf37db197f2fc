// What a watch tracks for one controller; instants in simulated ms.
import { Phase, TestKind } from '../../firmware/contract/codes';
import type { Core } from '../../firmware/core/state';

export interface Watched {
  wasDriven: boolean;
  drivenAt: number;
  drivenKind: TestKind;
  /** It opened at a time it was wrongly given: its neighbours cannot know. */
  wasMisled: boolean;
  wasSupplied: boolean;
  lostAt: number;
  backAt: number;
  /** Recharge owed since `backAt`, ms. */
  owedMs: number;
  lastPhase: Phase;
  openings: number;
  boot: number;
  /** The supply was lost to a test whose relay was released at `releasedAt`; its recharge is over by then. */
  lostToTest: boolean;
  releasedAt: number;
  testOwedUntil: number;
  /** Lamps lit when the relay was released. */
  litAtEnd: boolean[];
  /** Lamps that were lit when they had been so for as long as the test requires of them. */
  litAtOwnEnd: boolean[];
  unprovenSince: number;
  /** When the controller last read supply behind the relay. */
  readLiveAt: number;
  /** Exercises of the coil since the contact opened by itself, and when the present one began, -1 none. */
  exercises: number;
  exercisedAt: number;
  /** Core that was found sound, its phase then, and until when only time can break a claim about it. */
  soundCore: Core | undefined;
  soundUntil: number;
}

/** Record for a controller that has just been fitted. */
export function newWatched(): Watched {
  return {
    wasDriven: false,
    drivenAt: 0,
    drivenKind: TestKind.None,
    wasMisled: false,
    wasSupplied: true,
    lostAt: 0,
    backAt: 0,
    owedMs: 0,
    lastPhase: Phase.Starting,
    openings: 0,
    boot: 0,
    lostToTest: false,
    releasedAt: 0,
    testOwedUntil: 0,
    litAtEnd: [],
    litAtOwnEnd: [],
    unprovenSince: -1,
    readLiveAt: 0,
    exercises: 0,
    exercisedAt: -1,
    soundCore: undefined,
    soundUntil: 0,
  };
}
