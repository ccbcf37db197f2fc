// Scenes: events that must coincide within seconds of a test before one of the controller's rules matters.
// Drawn one by one they would hardly ever coincide; each scene draws only its details.
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
/**
 * An order that changes nothing: its reply makes the controller report its state, and the host answers with
 * the time.
 */
const NUDGE = { do: OrderKind.Release, arg: 0 };

/**
 * The second in which a test looks at the lamps on mains before it opens; a clock that has just been
 * corrected may be two seconds off, hence the wait.
 */
function lookOf(d: Draft, circuit: CampaignCircuit, test: PlannedTest): number {
  d.order(circuit, test.from - whole(d.r, 5, 300) * SECOND, NUDGE);
  return test.from + whole(d.r, 1800, 3200);
}

/** During a test, or just after it. */
function during(r: Random, circuit: CampaignCircuit, test: PlannedTest): number {
  return test.from + whole(r, 12 * SECOND, testMsOf(circuit, test) + 5 * SECOND);
}

/** Someone holds the circuit, or calls off the test, in the second before it opens. */
const calledOffAtTheLastMoment: Scene = (d, circuit, test) => {
  const hold = { do: OrderKind.Hold, arg: spread(d.r, 60, Limit.HoldSecMax) };
  d.order(circuit, lookOf(d, circuit, test), pick(d.r, [hold, { do: OrderKind.Restore, arg: 0 }]));
};

/** A hold of several days ends a test, and the controller restarts before it has entered the hold. */
const heldAndRestarted: Scene = (d, circuit, test) => {
  const at = during(d.r, circuit, test);
  d.order(circuit, at, { do: OrderKind.Hold, arg: whole(d.r, 2 * 86_400, Limit.HoldSecMax) });
  d.plant(circuit, { kind: 'reset', at: at + whole(d.r, 200, Limit.RestoreProofMs) });
};

/** Someone ends a test, and the controller restarts while its window is still open. */
const endedAndRestarted: Scene = (d, circuit, test) => {
  const at = during(d.r, circuit, test);
  d.order(circuit, at, { do: OrderKind.Restore, arg: 0 });
  if (whole(d.r, 0, 1) === 0) d.plant(circuit, { kind: 'reset', at: at + spread(d.r, 200, HOUR) });
};

/** The mains fail in the second before a circuit opens. */
const darkAtTheLastMoment: Scene = (d, circuit, test) =>
  d.fault(circuit, pick(d.r, ['supply outage', 'inrush trip'] as const), lookOf(d, circuit, test));

/** The supply has dipped repeatedly and settles shortly before the test or early in it. */
const dippingBefore: Scene = (d, circuit, test) => {
  const everyMs = whole(d.r, 700, 5000);
  const to = test.from + whole(d.r, -Limit.SteadyMs, 12 * SECOND);
  const at = to - everyMs * whole(d.r, Limit.UnsteadyDips + 1, 20);
  d.plant(circuit, { kind: 'brown-out', at, to, everyMs, lowMs: whole(d.r, 50, 400) });
};

/** The host gives a wrong time once shortly before a test, then falls silent. */
const wrongAndSilent: Scene = (d, circuit, test) => {
  const at = test.from - spread(d.r, 20 * SECOND, 50 * MINUTE);
  const jumpMs = pick(d.r, [-1, 1]) * spread(d.r, MINUTE, 2 * DAY_MS);
  const to = at + 5 * SECOND;
  d.plant(circuit, { kind: 'clock jump', at: at - SECOND, to, jumpMs });
  d.plant(circuit, { kind: 'clock loss', at: to, to: test.from + HOUR });
  d.order(circuit, at, NUDGE);
};

/** The host's clock drifts off before a test, step by step, each step given twice. */
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

/** Someone is still in the area when a window opens, and leaves during it. */
const somebodyStays: Scene = (d, circuit, test) => {
  const at = test.from - whole(d.r, 0, HOUR);
  d.plant(circuit, { kind: 'person at night', at, to: test.from + whole(d.r, MINUTE, 2 * HOUR) });
};

/** A lamp with a loose contact goes dark for a while during a test. */
const looseContact: Scene = (d, circuit, test) => {
  const at = test.from + whole(d.r, 12 * SECOND, testMsOf(circuit, test));
  const luminaire = pick(d.r, circuit.spec.lamps).id;
  const repairedAt = at + spread(d.r, 500, 20 * MINUTE);
  d.plant(circuit, { kind: 'dead lamp', luminaire, at, repairedAt });
};

/** A contact stuck open frees itself at about the time its coil is exercised. */
const freeAtTheExercise: Scene = (d, circuit, test) => {
  const first = Limit.RestoreProofMs + Limit.FirstExerciseMs;
  const exercise = first + pick(d.r, [0, Limit.SecondExerciseMs]);
  const stickMs = exercise + whole(d.r, -800, 300);
  const repairedAt = test.from + testMsOf(circuit, test) + HOUR;
  d.plant(circuit, { kind: 'relay sticks open', at: test.from - MINUTE, repairedAt, stickMs });
};

/** Someone orders the commissioning test in an attended window before the first charge is complete. */
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

/** About this share of a circuit's tests gets a scene of its own. */
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
