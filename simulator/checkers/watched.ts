// What a watch keeps account of for one controller; instants in simulated ms.
import { Phase, TestKind } from '../../firmware/contract/codes';
import type { Core } from '../../firmware/core/state';

export interface Watched {
  wasDriven: boolean;
  drivenAt: number;
  drivenKind: TestKind;
  /** It opened by a time that it had been told wrongly: its neighbours cannot know. */
  wasMisled: boolean;
  wasSupplied: boolean;
  lostAt: number;
  backAt: number;
  /** Recharge owed since `backAt`, ms. */
  owedMs: number;
  lastPhase: Phase;
  openings: number;
  boot: number;
  /** The supply was lost to a test, whose relay was let go at `releasedAt`; its recharge is over by then. */
  lostToTest: boolean;
  releasedAt: number;
  testOwedUntil: number;
  /** Lamps burning when the relay was let go. */
  litAtEnd: boolean[];
  unprovenSince: number;
  /** When the controller last read that there is supply behind the relay. */
  readLiveAt: number;
  /** Exercises of the coil since the contact stood open by itself, and when the present one began, -1 none. */
  exercises: number;
  exercisedAt: number;
  /** Core that was found sound, in the phase that it had, until when nothing but time can break a claim on it. */
  soundCore: Core | undefined;
  soundUntil: number;
}

/** Account of a controller that has just been fitted. */
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
    unprovenSince: -1,
    readLiveAt: 0,
    exercises: 0,
    exercisedAt: -1,
    soundCore: undefined,
    soundUntil: 0,
  };
}
