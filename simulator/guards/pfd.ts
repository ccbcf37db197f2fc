// How likely a guard is dead when it is needed: failure rates, the guard that each fault costs, and how long the fault
// stays unnoticed.
import { type Guard, lostGuards, type Seen, verdictOf } from './faults';
import type { Breakage } from './netlist';
import { type Circuit, partOf } from './part';
import { rateOf, shareOf } from './rates';

/** One single fault and what was seen with it. */
export interface FaultRow extends Breakage {
  seen: Seen;
}

/** Hours between proofs. */
export interface Proofs {
  /** Between the completed tests; each of the three endings has its turn in three of them. */
  testHours: number;
  /** Between the presses of the timer's button. */
  buttonHours: number;
  /** Until the board is replaced: faults that nothing finds. */
  lifeHours: number;
}

const YEAR_HOURS = 8760;
const TURNS = 3;

/** Function tests every month, the button once a year, the board replaced after ten years. */
export const USUAL_PROOFS: Proofs = {
  testHours: YEAR_HOURS / 12,
  buttonHours: YEAR_HOURS,
  lifeHours: 10 * YEAR_HOURS,
};

/**
 * Share of dangerous failures that strike two guards at once: the largest that IEC 61508-6:2010, annex D, gives for
 * final elements (from memory).
 */
export const COMMON_SHARE = 0.1;

/**
 * Average probability of failure on demand of one channel, IEC 61508-6:2010, annex B.3.2.2.1 (from memory), with no
 * diagnostics and the repair left out: the test is void and the tester at fault from the moment a fault is found.
 * @param fit dangerous undetected failures in 10^9 h
 */
export function pfdAverage(fit: number, proofHours: number): number {
  return (fit * 1e-9 * proofHours) / 2;
}

/**
 * The same of two guards in series, either of which releases the coil. Two proofs that fall together raise the average
 * of the product by a third at most (annex B.3.2.2.2: λ²·T²/3 against (λ·T/2)²).
 */
export function pfdOfTwo(a: number, b: number): number {
  const apart = (1 - COMMON_SHARE) ** 2 * a * b * (4 / 3);
  return apart + COMMON_SHARE * Math.min(a, b);
}

/**
 * Faults whose outcome hangs on what the models leave out: an inverter without its capacitor oscillates fast in the
 * simulation, but a real one may rest at its threshold.
 */
const DOUBTFUL: (Breakage & { guard: Guard })[] = [{ part: 'C2', mode: 'open', guard: 'timer' }];

/** Guards that a fault costs, doubtful ones included. */
export function costs(row: FaultRow): Guard[] {
  const doubtful = DOUBTFUL.filter(({ part, mode }) => part === row.part && mode === row.mode);
  return [...lostGuards(row.seen), ...doubtful.map(({ guard }) => guard)];
}

/** Failures in 10^9 h of this part in this mode. */
export function fitOf(circuit: Circuit, { part, mode }: Breakage): number {
  const isPin = !circuit.parts.some(({ id }) => id === part);
  const kind = isPin ? 'pin' : partOf(circuit, part).kind;
  return rateOf(kind).fit * shareOf(kind, mode);
}

/** Hours until a fault is found at the latest. */
function hoursUnnoticed(row: FaultRow, proofs: Proofs): number {
  const verdict = verdictOf(row.seen);
  if (verdict === 'found by a test') return TURNS * proofs.testHours;
  return verdict === 'hidden' ? proofs.lifeHours : proofs.buttonHours;
}

/** Average probability that a fault of this kind is there when its guard is needed; 0 if it costs no guard. */
export function pfdOfRow(circuit: Circuit, row: FaultRow, proofs: Proofs): number {
  return costs(row).length === 0 ? 0 : pfdAverage(fitOf(circuit, row), hoursUnnoticed(row, proofs));
}

/** Dangerous undetected failures in 10^9 h and PFDavg of one guard. */
export function guardPfd(circuit: Circuit, rows: FaultRow[], guard: Guard, proofs: Proofs) {
  const own = rows.filter((row) => costs(row).includes(guard));
  const sum = (value: (row: FaultRow) => number) => own.reduce((total, row) => total + value(row), 0);
  return { fit: sum((row) => fitOf(circuit, row)), pfd: sum((row) => pfdOfRow(circuit, row, proofs)) };
}
