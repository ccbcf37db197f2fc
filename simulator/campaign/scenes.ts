// Scenes: things that have to come together within seconds of a test before a rule of the controller matters. Drawn
// one by one they would hardly ever meet; each scene draws only how exactly.
import { OrderKind, TestKind } from '../../firmware/contract/codes';
import { Limit } from '../../firmware/contract/limits';
import type { Random } from '../random';
import { pick, spread, whole } from './draw';
import { type Draft, testMsOf } from './incidents';
import type { PlannedTest } from './plans';
import { type CampaignCircuit, DAY_MS } from './site';

type Scene = (draft: Draft, circuit: CampaignCircuit, test: PlannedTest) => void;

const SECOND = 1000;
const MINUTE = 60 * SECOND;
const HOUR = 60 * MINUTE;
/** An order that changes nothing: its reply has the controller say how it stands, and the host answers with the time. */
const NUDGE = { do: OrderKind.Release, arg: 0 };

/**
 * The second in which a test looks on mains before it opens: a clock that has just been put right may be wrong by two
 * seconds, and waits for so long.
 */
function lookOf(d: Draft, circuit: CampaignCircuit, test: PlannedTest): number {
  d.order(circuit, test.from - whole(d.r, 5, 300) * SECOND, NUDGE);
  return test.from + whole(d.r, 1800, 3200);
}

/** While a test runs, or just after it. */
function during(r: Random, circuit: CampaignCircuit, test: PlannedTest): number {
  return test.from + whole(r, 12 * SECOND, testMsOf(circuit, test) + 5 * SECOND);
}

/** Somebody holds the circuit, or calls the test off, in the second before it opens. */
const calledOffAtTheLastMoment: Scene = (d, circuit, test) => {
  const hold = { do: OrderKind.Hold, arg: spread(d.r, 60, Limit.HoldSecMax) };
  d.order(circuit, lookOf(d, circuit, test), pick(d.r, [hold, { do: OrderKind.Restore, arg: 0 }]));
};

/** A hold of days ends a test, and the controller starts anew before it has entered the hold. */
const heldAndRestarted: Scene = (d, circuit, test) => {
  const at = during(d.r, circuit, test);
  d.order(circuit, at, { do: OrderKind.Hold, arg: whole(d.r, 2 * 86_400, Limit.HoldSecMax) });
  d.plant(circuit, { kind: 'reset', at: at + whole(d.r, 200, Limit.RestoreProofMs) });
};

/** Somebody ends a test, and the controller starts anew while its window is still open. */
const endedAndRestarted: Scene = (d, circuit, test) => {
  const at = during(d.r, circuit, test);
  d.order(circuit, at, { do: OrderKind.Restore, arg: 0 });
  if (whole(d.r, 0, 1) === 0) d.plant(circuit, { kind: 'reset', at: at + spread(d.r, 200, HOUR) });
};

/** The mains go in the second before a circuit opens. */
const darkAtTheLastMoment: Scene = (d, circuit, test) =>
  d.fault(circuit, pick(d.r, ['supply outage', 'inrush trip'] as const), lookOf(d, circuit, test));

/** The supply has dipped again and again, and settles shortly before the test or in its beginning. */
const dippingBefore: Scene = (d, circuit, test) => {
  const everyMs = whole(d.r, 700, 5000);
  const to = test.from + whole(d.r, -Limit.SteadyMs, 12 * SECOND);
  const at = to - everyMs * whole(d.r, Limit.UnsteadyDips + 1, 20);
  d.plant(circuit, { kind: 'brown-out', at, to, everyMs, lowMs: whole(d.r, 50, 400) });
};

/** The host answers once with a wrong time shortly before a test, and then not at all. */
const wrongAndSilent: Scene = (d, circuit, test) => {
  const at = test.from - spread(d.r, 20 * SECOND, 50 * MINUTE);
  const jumpMs = pick(d.r, [-1, 1]) * spread(d.r, MINUTE, 2 * DAY_MS);
  const to = at + 5 * SECOND;
  d.plant(circuit, { kind: 'clock jump', at: at - SECOND, to, jumpMs });
  d.plant(circuit, { kind: 'clock loss', at: to, to: test.from + HOUR });
  d.order(circuit, at, NUDGE);
};

/** The host's clock runs away before a test, step by step and each one told twice. */
const runningAway: Scene = (d, circuit, test) => {
  const stepMs = spread(d.r, 20 * SECOND, 10 * MINUTE) * pick(d.r, [-1, 1]);
  const everyMs = whole(d.r, 3, 120) * MINUTE;
  const steps = Limit.ClockJumps + whole(d.r, 0, 1);
  const lastFrom = test.from - spread(d.r, 2 * MINUTE, 12 * HOUR);
  for (let step = 1; step <= steps; step++) {
    const at = lastFrom - (steps - step) * everyMs;
    const to = step === steps ? test.from + HOUR : at + everyMs;
    d.plant(circuit, { kind: 'clock jump', at, to, jumpMs: step * stepMs });
    d.order(circuit, at + 5 * SECOND, NUDGE);
    d.order(circuit, at + 5 * SECOND + Limit.ClockConfirmMs + whole(d.r, 1, 30) * SECOND, NUDGE);
  }
};

/** Somebody is still there when a window begins, and leaves while it is open. */
const somebodyStays: Scene = (d, circuit, test) => {
  const at = test.from - whole(d.r, 0, HOUR);
  d.plant(circuit, { kind: 'person at night', at, to: test.from + whole(d.r, MINUTE, 2 * HOUR) });
};

/** A lamp with a loose contact is dark for a while in a test. */
const looseContact: Scene = (d, circuit, test) => {
  const at = test.from + whole(d.r, 12 * SECOND, testMsOf(circuit, test));
  const luminaire = pick(d.r, circuit.spec.lamps).id;
  const repairedAt = at + spread(d.r, 500, 20 * MINUTE);
  d.plant(circuit, { kind: 'dead lamp', luminaire, at, repairedAt });
};

/** A contact that sticks open comes free by itself about when its coil is to be exercised. */
const freeAtTheExercise: Scene = (d, circuit, test) => {
  const first = Limit.RestoreProofMs + Limit.FirstExerciseMs;
  const exercise = first + pick(d.r, [0, Limit.SecondExerciseMs]);
  const stickMs = exercise + whole(d.r, -800, 300);
  const repairedAt = test.from + testMsOf(circuit, test) + HOUR;
  d.plant(circuit, { kind: 'relay sticks open', at: test.from - MINUTE, repairedAt, stickMs });
};

/** Somebody asks for the commissioning test in a window for people before the first charge is over. */
const commissionedTooSoon: Scene = (d, circuit, test) => {
  const meant = circuit.tests.find(({ kind }) => kind === TestKind.None) ?? test;
  const at = meant.from + whole(d.r, MINUTE, HOUR);
  const lostAt = at - spread(d.r, MINUTE, SECOND * (circuit.settings.firstChargeSec ?? 0));
  d.plant(circuit, { kind: 'supply outage', at: lostAt, to: lostAt + whole(d.r, 1, 30) * SECOND });
  d.order(circuit, at, { do: OrderKind.Test, arg: TestKind.Commissioning });
};

const SCENES: Scene[] = [
  ...[calledOffAtTheLastMoment, heldAndRestarted, endedAndRestarted, darkAtTheLastMoment, dippingBefore],
  ...[wrongAndSilent, runningAway, looseContact, freeAtTheExercise],
];

/** Of a circuit's tests about so many have a scene of their own. */
const SHARE = 4;

/** Plays scenes around some of the circuit's tests. */
export function playScenes(draft: Draft, circuit: CampaignCircuit): void {
  const { r } = draft;
  const scenes = SCENES.slice();
  if (circuit.settings.shared) scenes.push(somebodyStays);
  if (circuit.settings.commissionSec) scenes.push(commissionedTooSoon);
  for (let left = 1 + Math.floor(circuit.tests.length / SHARE); left > 0 && circuit.tests.length > 0; left--)
    pick(r, scenes)(draft, circuit, pick(r, circuit.tests));
}
