// The building in one line, for someone who reads only one line.
import type { ControllerStatus, VerdictWord } from '../../api/views';
import { isHeard, isOnBattery, verdictName } from './tone';
import { concerns } from './urgency';

function counted(n: number, noun: string): string {
  return `${n} ${noun}${n === 1 ? '' : 's'}`;
}

/** E.g. "2 circuits on battery now. 10 charged. 1 needs attention." */
export function headline(controllers: ControllerStatus[]): string {
  if (controllers.length === 0) return 'No controller has reported yet.';
  const needing = new Set(concerns(controllers).map((c) => c.circuit)).size;
  const onBattery = controllers.filter(isOnBattery);
  const atRest = controllers.filter((s) => isHeard(s) && !isOnBattery(s));
  const charged = atRest.filter((s) => s.phase === 'charged').length;
  const recharging = atRest.filter((s) => s.phase === 'recharging').length;
  if (charged === controllers.length && needing === 0)
    return `All ${counted(charged, 'circuit')} charged. Nothing needs attention.`;
  const parts = [
    onBattery.length > 0
      ? `${counted(onBattery.length, 'circuit')} on battery now.`
      : 'No circuit on battery.',
  ];
  if (recharging > 0) parts.push(`${recharging} recharging.`);
  parts.push(`${charged} charged.`);
  parts.push(
    needing === 0 ? 'Nothing needs attention.' : `${needing} need${needing === 1 ? 's' : ''} attention.`,
  );
  return parts.join(' ');
}

/** E.g. "93 luminaires: 84 pass, 4 fail, 2 void, 3 untested." from verdict words. */
export function tally(verdicts: VerdictWord[]): string {
  const words: VerdictWord[] = ['pass', 'fail', 'void', 'open', 'untested'];
  const parts = words
    .map((word) => ({ word, n: verdicts.filter((v) => v === word).length }))
    .filter((p) => p.n > 0)
    .map((p) => `${p.n} ${verdictName(p.word)}`);
  const total = counted(verdicts.length, 'luminaire');
  return parts.length === 0 ? `${total}.` : `${total}: ${parts.join(', ')}.`;
}
