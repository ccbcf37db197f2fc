// One word and one tone for every state. The tone picks colour and shape together, never colour alone.

import { Limit } from '../../../firmware/contract/limits';
import { isHeard, TESTING_PHASES, wasOff } from '../../api/phases';
import type { ControllerStatus, LampStatus, TonightTest, VerdictWord } from '../../api/views';
import { lengthAtMost } from '../../words/length';
import { t } from '../tongues/tongue';
import { hostWords } from './hostWords';

/** good = healthy, busy = under test or recharging, fault = someone must act, idle = nothing known. */
export type Tone = 'good' | 'busy' | 'fault' | 'idle';

const PHASES: Record<string, Tone> = {
  ...{ starting: 'busy', charged: 'good', recharging: 'busy', opening: 'busy', brief: 'busy', full: 'busy' },
  ...{ restoring: 'busy', outage: 'fault', held: 'busy', fault: 'fault' },
};

type PhaseWord = keyof typeof t.phases;

/** True while a test is switching the mains off, running, or switching it back on. */
export function isTesting(status: ControllerStatus): boolean {
  return isHeard(status) && status.kind !== '' && TESTING_PHASES.includes(status.phase);
}

/** True if the luminaires are on battery now: the relay is open or no supply is seen behind it. */
export function isOnBattery(status: ControllerStatus): boolean {
  return isHeard(status) && wasOff(status);
}

/** Word and tone of a circuit. A controller that is not heard is never shown as healthy. */
export function circuitState(status: ControllerStatus): { word: string; tone: Tone } {
  if (status.contact === 'never heard') return { word: t.phases.neverHeard, tone: 'idle' };
  if (status.contact === 'silent') return { word: t.phases.silent, tone: 'fault' };
  // The longer tests share a phase; their names must never be confused.
  const isLong = status.phase === 'full' && (status.kind === 'limited' || status.kind === 'commissioning');
  const word = t.phases[(isLong ? status.kind : status.phase) as PhaseWord] ?? status.phase;
  return { word, tone: PHASES[status.phase] ?? 'idle' };
}

const VERDICTS: Record<VerdictWord, Tone> = {
  pass: 'good',
  fail: 'fault',
  void: 'idle',
  open: 'busy',
  untested: 'idle',
};

/** Tone of one verdict. */
export function verdictTone(verdict: VerdictWord): Tone {
  return VERDICTS[verdict];
}

/** Word of one verdict as people read it: a lamp not judged yet is under test, not open. */
export function verdictName(verdict: VerdictWord): string {
  return t.verdicts[verdict];
}

/** Tone of one of tonight's tests. */
export function testTone(state: TonightTest['state']): Tone {
  if (state === 'running') return 'busy';
  if (state === 'pass') return 'good';
  return state === 'fail' ? 'fault' : 'idle';
}

/**
 * State of a luminaire: its last result, except that a failed full test stays in force until a full test
 * passes, because a brief test cannot prove the battery.
 */
export function standing(lamp: LampStatus): { verdict: VerdictWord; reason: string } {
  if (lamp.verdict === 'fail' || lamp.fullVerdict !== 'fail')
    return { verdict: lamp.verdict, reason: hostWords(lamp.reason) };
  const lit = lamp.fullSeconds === null ? '' : t.attention.litFor(lengthAtMost(lamp.fullSeconds));
  return { verdict: 'fail', reason: `${t.attention.failedFull}${lit}` };
}

/**
 * What a lamp under test does, from its share of the commissioned battery current and the lowest share that
 * counts as lit, %.
 */
export function glow(percent: number, floorPercent: number): 'lit' | 'dim' | 'dark' {
  if (percent >= floorPercent) return 'lit';
  return percent < Limit.DarkPercent ? 'dark' : 'dim';
}
